import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';

const PROGRAM = fileURLToPath(new URL('../../dist/cli/main.js', import.meta.url));
/** Says at the end of the process, not of its threads, what it took: microseconds and kibibytes. */
const WATCH = `import { isMainThread } from 'node:worker_threads';
if (isMainThread) process.on('exit', () => {
  const { userCPUTime, systemCPUTime, maxRSS } = process.resourceUsage();
  console.error('took ' + (userCPUTime + systemCPUTime) + ' ' + maxRSS);
});`;

export interface MeasuredCommand {
  readonly stdout: string;
  /** Of its own process: ffmpeg's and the queue's are not in it. */
  readonly processorSeconds: number;
  readonly wallSeconds: number;
  readonly peakMegabytes: number;
}

/**
 * Runs goodgate as it was built, and tells what its process took.
 *
 * @param codes it may end with
 */
export function measuredCommand(
  args: readonly string[],
  env: NodeJS.ProcessEnv = {},
  codes: readonly number[] = [0],
): MeasuredCommand {
  const from = performance.now();
  const { status, stdout, stderr } = spawnSync(
    process.execPath,
    ['--import', `data:text/javascript,${encodeURIComponent(WATCH)}`, PROGRAM, ...args],
    { encoding: 'utf8', maxBuffer: 2 ** 30, env: { ...process.env, ...env } },
  );
  const took = /^took (\d+) (\d+)$/m.exec(stderr);
  if (status === null || !codes.includes(status) || took === null)
    throw new Error(`goodgate ${args.join(' ')}: ${stderr}`);
  return {
    stdout,
    processorSeconds: Number(took[1]) / 1e6,
    wallSeconds: (performance.now() - from) / 1000,
    peakMegabytes: (Number(took[2]) * 1024) / 1e6,
  };
}
