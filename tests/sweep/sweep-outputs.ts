import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { execa } from 'execa';
import { batch } from '../../jobs/plan/batch.js';
import { fileTruth, outputStatements } from './output-statements.js';
import type { Statement } from './statements.js';

const MAIN = resolve(dirname(fileURLToPath(import.meta.url)), '../../dist/cli/main.js');
const TARGETS = ['archive-ffv1', 'intermediate-422-10', 'proxy-h264'];

/** An archive, an intermediate and a proxy of every file of a folder, made by the built program. */
export async function sweepOutputs(
  media: string,
  tell: (name: string, statement: Statement) => void,
): Promise<{ files: number; refused: readonly string[] }> {
  const folder = await mkdtemp(join(tmpdir(), 'goodgate-sweep-'));
  try {
    const asked = TARGETS.flatMap((target) => ['--target', target]);
    const { stdout } = await execa(
      'node',
      [MAIN, 'run', media, ...asked, '--out', join(folder, 'batch'), '--json', '-q', '--jobs', '1'],
      { env: { GOODGATE_STATE: join(folder, 'state'), REDIS_URL: '' }, reject: false, stderr: 'inherit' },
    );
    const { clips, refused: outputs, unreadable } = batch.parse(JSON.parse(stdout));
    const refused = [
      ...outputs.map((one) => JSON.stringify(one)),
      ...unreadable.map(({ file, reason }) => `${file}: ${reason}`),
    ];
    for (const { name, error, items } of clips) {
      if (error !== null) refused.push(`${name}: ${error.what}`);
      const made = items.filter(({ kind, bytes }) => kind === 'output' && bytes !== null);
      if (made.length === 0) continue;
      const original = await fileTruth(join(media, name));
      for (const item of made) {
        const truth = await fileTruth(join(folder, 'batch', item.path));
        for (const statement of outputStatements(item, original, truth)) tell(name, statement);
      }
    }
    return { files: clips.length, refused };
  } finally {
    if (process.env['SWEEP_KEEP'] === undefined) await rm(folder, { recursive: true, force: true });
    else console.log(`kept: ${folder}`);
  }
}
