import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parse, stringify } from 'yaml';
import { makeClip } from './night-clips.js';
import { type Times, timed } from './timed-program.js';

/** How many HD clips there are, how long each is, and how often the two batches are made. */
export interface Proof {
  readonly clips: number;
  readonly seconds: number;
  readonly turns: number;
}

const GOODGATE = new URL('../../dist/cli/main.js', import.meta.url).pathname;
const BUILT_IN = new URL('../../jobs/targets/built-in/intermediate-422-10.yaml', import.meta.url);
/** What compares a copy with its original. */
const PROOF = ['precision', 'same-frames', 'same-sound'];

/**
 * A batch of intermediates two ways, in turn: by the target `intermediate-422-10`, and by the same without
 * the requirements that compare the copy with its original. Signatures of frames are taken in both: what they
 * cost is the line `study: signature` of the cost table.
 */
export async function* proofLines({ clips, seconds, turns }: Proof): AsyncGenerator<string> {
  const folder = mkdtempSync(join(tmpdir(), 'goodgate-proof-'));
  try {
    const card = join(folder, 'card');
    mkdirSync(card);
    for (let n = 1; n <= clips; n++) makeClip(join(card, `HD${n}.mov`), '1920x1080', seconds, n);
    const plain = join(folder, 'plain.yaml');
    writeFileSync(plain, withoutProof());
    const ways = { 'with the proof': 'intermediate-422-10', without: plain };
    const best = new Map<string, Times>();
    for (let turn = 0; turn < turns; turn++) {
      for (const [name, target] of Object.entries(ways)) {
        const out = join(folder, `${turn}-${target === plain ? 'plain' : 'proof'}`);
        const took = timed('node', [GOODGATE, 'run', card, '--target', target, '--out', out, '--quiet'], {
          GOODGATE_STATE: join(folder, 'state'),
        });
        rmSync(out, { recursive: true, force: true });
        const before = best.get(name);
        best.set(name, {
          wall: Math.min(took.wall, before?.wall ?? Number.POSITIVE_INFINITY),
          processor: Math.min(took.processor, before?.processor ?? Number.POSITIVE_INFINITY),
        });
      }
    }
    yield `intermediates of ${clips} HD clips of ${seconds} s, best of ${turns} in turn`;
    for (const [name, { wall, processor }] of best) {
      yield `  ${name.padEnd(15)} wall ${wall.toFixed(1)} s   processor ${processor.toFixed(1)} s`;
    }
    const [proof, without] = [best.get('with the proof'), best.get('without')];
    if (proof === undefined || without === undefined) return;
    const ratio = (key: keyof Times): string => (proof[key] / without[key]).toFixed(2);
    yield `  with / without   wall ${ratio('wall')}   processor ${ratio('processor')}`;
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function withoutProof(): string {
  const target: { name: string; require: Record<string, unknown> } = parse(readFileSync(BUILT_IN, 'utf8'));
  target.name = 'without-proof';
  for (const name of PROOF) delete target.require[name];
  return stringify(target);
}
