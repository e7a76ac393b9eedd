import { mkdir } from 'node:fs/promises';
import { dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { exitCodeOf } from '../jobs/errors.js';
import { DEMO_MANIFEST } from './demo/documents.js';
import { hasDemoClips, makeDemoClips } from './demo/make-clips.js';
import { readEnvironment } from './environment.js';
import { interruptSignal } from './interrupt.js';
import { preparePlan } from './prepare-plan.js';
import { describeError, print, say } from './print.js';
import { runBatch } from './run/run-batch.js';
import { batchSummary, documentsOf } from './run/summary.js';

/** `demo-out` in the folder of the project: beside `dist`, or beside `cli` when run from the source. */
function demoFolder(): string {
  const here = dirname(fileURLToPath(import.meta.url));
  const home = join(here, '..');
  return join(home.endsWith('dist') ? join(home, '..') : home, 'demo-out');
}

async function demo(): Promise<void> {
  const folder = demoFolder();
  const clips = join(folder, 'clips');
  const manifest = join(clips, DEMO_MANIFEST);
  const interrupt = interruptSignal(() => say('stopping ...'));
  try {
    await mkdir(clips, { recursive: true });
    if (!(await hasDemoClips(clips))) {
      say('drawing the clips of the demo ...');
      await makeDemoClips(clips, {
        signal: interrupt.signal,
        onProgress: (done, total, file) => say(`  ${done} of ${total}  ${file}`),
      });
    }
    const environment = readEnvironment();
    say('planning and running the batch, as `goodgate run` does ...');
    const prepared = await preparePlan({
      input: manifest,
      targets: [],
      out: join(folder, 'batch'),
      workers: undefined,
      environment,
      signal: interrupt.signal,
    });
    const batch = await runBatch(prepared, {
      environment,
      redis: undefined,
      logLevel: 'silent',
      signal: interrupt.signal,
      // Drawn anew by a later version, they are other clips of the same names.
      replace: true,
    });
    print(batchSummary(batch, await documentsOf(batch, prepared.plan.out), prepared.plan.out));
    if (interrupt.signal.aborted) return;
    print();
    print('Several of these clips are faulty on purpose: the report above names each fault.');
    print(`Next: open ${relative(process.cwd(), join(folder, 'batch', 'report.html'))} in a browser,`);
    print('then try it on a folder of your own: see the recipes in README.md.');
  } finally {
    interrupt.dispose();
  }
}

try {
  await demo();
} catch (error) {
  say(describeError(error, true));
  process.exitCode = exitCodeOf(error);
}
