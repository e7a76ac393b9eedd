import { spawnSync } from 'node:child_process';

/** Processor and wall time, in seconds. */
export interface Times {
  readonly wall: number;
  readonly processor: number;
}

/** Runs a program to its end; the time of all its children counts. Throws Error for any exit code but 0. */
export function timed(
  program: string,
  args: readonly string[],
  env: Readonly<Record<string, string>> = {},
): Times {
  const began = performance.now();
  const script = '"$@"; code=$?; times >&3; exit $code';
  const { status, stderr, output } = spawnSync('bash', ['-c', script, 'bash', program, ...args], {
    env: { ...process.env, ...env },
    stdio: ['ignore', 'ignore', 'pipe', 'pipe'],
    encoding: 'utf8',
    maxBuffer: 64e6,
  });
  if (status !== 0) throw new Error(`${program} ended with ${status}: ${stderr.slice(-2000)}`);
  // The second line of `times` is that of the children: user and system, as 1m2.345s.
  const children = output[3]?.split('\n')[1] ?? '';
  const processor = [...children.matchAll(/(\d+)m([\d.]+)s/g)].reduce(
    (sum, [, minutes, rest]) => sum + 60 * Number(minutes) + Number(rest),
    0,
  );
  return { wall: (performance.now() - began) / 1000, processor };
}
