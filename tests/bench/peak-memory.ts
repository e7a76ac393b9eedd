import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { madeMaster } from './bench-media.js';
import { UHD_MASTER } from './decode-ratio.js';

const PROGRAM = fileURLToPath(new URL('../../dist/cli/main.js', import.meta.url));
/** Says at the end of the process, not of its threads, how much memory it ever held: kibibytes. */
const WATCH = `import { isMainThread } from 'node:worker_threads';
if (isMainThread) process.on('exit', () => console.error('peak ' + process.resourceUsage().maxRSS));`;
const FRAME_BYTES = 3840 * 2160 * 2 * 2;

/**
 * Peak resident set of `goodgate measure`, as built, in MB and in frames of the file. ffmpeg's own process is
 * not in it.
 */
export function* peakMemoryLines(): Generator<string> {
  const { path } = madeMaster(UHD_MASTER);
  const { status, stderr } = spawnSync(
    process.execPath,
    ['--import', `data:text/javascript,${encodeURIComponent(WATCH)}`, PROGRAM, 'measure', path, '--json'],
    { encoding: 'utf8', maxBuffer: 2 ** 28 },
  );
  const peak = Number(/^peak (\d+)$/m.exec(stderr)?.[1]) * 1024;
  if (status !== 0 || !Number.isFinite(peak)) throw new Error(`goodgate measure: ${stderr}`);
  yield 'peak resident set of goodgate measure, without ffmpeg';
  yield `  ${UHD_MASTER.title.padEnd(28)} ${(peak / 1e6).toFixed(0)} MB, ${(peak / FRAME_BYTES).toFixed(1)} frames`;
}
