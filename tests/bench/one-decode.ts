import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fixed } from '../../jobs/words/numbers.js';
import { LOG, makeClip } from './night-clips.js';
import { type Times, timed } from './timed-program.js';

const GOODGATE = new URL('../../dist/cli/main.js', import.meta.url).pathname;

/**
 * Two proxies and an intermediate of one UHD clip: by one `goodgate run` with one decode, and by one run for
 * each, in turn.
 */
export async function* oneDecodeLines(seconds: number): AsyncGenerator<string> {
  const folder = mkdtempSync(join(tmpdir(), 'goodgate-one-decode-'));
  try {
    const card = join(folder, 'card');
    mkdirSync(card);
    makeClip(join(card, 'UHD.mov'), '3840x2160', seconds, 1);
    const small = join(folder, 'proxy-small.yaml');
    writeFileSync(small, smallerProxy());
    const manifest = join(folder, 'one.json');
    writeFileSync(manifest, manifestOf(card));
    const run = (name: string, targets: readonly string[]): Times =>
      timed(
        'node',
        [
          ...[GOODGATE, 'run', manifest, '--quiet', '--out', join(folder, name)],
          ...targets.flatMap((target) => ['--target', target]),
        ],
        { GOODGATE_STATE: join(folder, `state-${name}`) },
      );
    const targets = ['intermediate-422-10', 'proxy-h264', small];
    const together = run('together', targets);
    const alone = targets.map((target, index) => run(`alone-${index}`, [target]));
    const sum = (pick: (times: Times) => number): number =>
      alone.reduce((all, times) => all + pick(times), 0);
    const [wall, processor] = [sum((times) => times.wall), sum((times) => times.processor)];
    yield `a UHD clip of ${seconds} s to an intermediate and two proxies, by goodgate run, in turn`;
    yield `  one decode      wall ${fixed(together.wall, 1)} s   processor ${fixed(together.processor, 1)} s`;
    yield `  separate runs   wall ${fixed(wall, 1)} s   processor ${fixed(processor, 1)} s`;
    yield `  one / separate  wall ${fixed(together.wall / wall, 2)}   processor ${fixed(together.processor / processor, 2)}`;
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** The built-in proxy at most 1280 x 720. */
function smallerProxy(): string {
  const { stdout, status } = spawnSync('node', [GOODGATE, 'targets', 'proxy-h264'], { encoding: 'utf8' });
  if (status !== 0) throw new Error('the built-in proxy is not shown');
  return stdout
    .replace('name: proxy-h264', 'name: proxy-small')
    .replace(/maxWidth: 1920, maxHeight: 1080/, 'maxWidth: 1280, maxHeight: 720');
}

function manifestOf(root: string): string {
  const [transfer, primaries] = LOG.split('/');
  return JSON.stringify({
    schema: 'goodgate/manifest@1',
    title: 'One decode',
    root,
    defaults: { colour: { transfer, primaries } },
    clips: [{ file: 'UHD.mov' }],
  });
}
