import { once } from 'node:events';
import { existsSync } from 'node:fs';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { proveServer } from '../../../jobs/queue/connection.js';
import { fakeFfmpeg } from '../ffmpeg/fake-ffmpeg.js';

/**
 * A process that starts what this test says, prints a line of JSON, and then stands still until it is killed.
 * The children of it wait in open() of a pipe that nobody will ever open: of all signals only SIGKILL ends
 * that.
 */
const standing = (work: string) => `
  import { runFfmpeg } from './workers/ffmpeg/run-ffmpeg.ts';
  import { runFfprobe } from './workers/probe/run-ffprobe.ts';
  import { makeTemporaryFolder } from './workers/children/temporary-folder.ts';
  import { openQueue } from './cli/open-queue.ts';
  import { readEnvironment } from './cli/environment.ts';
  import { z } from 'zod';
  ${work}
  setInterval(() => {}, 1000);
`;

let folder = '';
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-test-'));
});
afterEach(() => rm(folder, { recursive: true, force: true }));

function start(work: string, env: Record<string, string> = {}) {
  return execa('node', ['--import', 'tsx', '--input-type=module', '-e', standing(work)], {
    env,
    reject: false,
  });
}

/** Asks again until it is so; the test's own limit is the end of patience. */
async function becomes(isSo: () => boolean | Promise<boolean>): Promise<void> {
  while (!(await isSo())) await new Promise((resolve) => setTimeout(resolve, 20));
}

const isGone = (pid: string) => !existsSync(`/proc/${pid.trim()}`);

it('kills an ffmpeg that waits in open() when its parent is killed, and removes the temporary folders', async () => {
  await execa('mkfifo', [join(folder, 'never')]);
  const program = await fakeFfmpeg(folder, 'echo $$ > "$0.pid"; exec 3< "$(dirname "$0")/never"');
  const parent = start(
    `
    const { path } = makeTemporaryFolder('probe');
    console.log(path);
    void runFfmpeg({ inputs: [{ path: 'a', options: [] }], outputs: [{ path: 'b', options: ['-f', 'null'] }] }, { tools: { ffmpeg: process.env.PROGRAM  }});
  `,
    { PROGRAM: program.path },
  );
  const temporary = String((await once(parent.stdout, 'data'))[0]).trim();
  const pidFile = `${program.path}.pid`;
  await becomes(async () => existsSync(pidFile) && (await readFile(pidFile, 'utf8')) !== '');
  const pid = await readFile(pidFile, 'utf8');
  expect(isGone(pid)).toBe(false);
  expect(existsSync(temporary)).toBe(true);

  parent.kill('SIGKILL');
  await parent;
  await becomes(() => isGone(pid) && !existsSync(temporary));
});

it.runIf(process.platform === 'linux')(
  'kills a child it was never told of: an ffprobe that hangs',
  async () => {
    const program = await fakeFfmpeg(folder, 'echo $$ > "$0.pid"; exec sleep 600');
    const parent = start(
      `void runFfprobe('a', [], z.unknown(), { tools: { ffprobe: process.env.PROGRAM }, timeoutMs: 600_000 }).catch(() => {});`,
      { PROGRAM: program.path },
    );
    const pidFile = `${program.path}.pid`;
    await becomes(async () => existsSync(pidFile) && (await readFile(pidFile, 'utf8')) !== '');
    const pid = await readFile(pidFile, 'utf8');
    parent.kill('SIGKILL');
    await parent;
    await becomes(() => isGone(pid));
  },
);

it('stops the private server of the last one present when that one is killed', async () => {
  const parent = start(
    `const queue = await openQueue(readEnvironment(), undefined); console.log(queue.server.socket);`,
    {
      GOODGATE_STATE: join(folder, 'state'),
      REDIS_URL: '',
    },
  );
  const socket = String((await once(parent.stdout, 'data'))[0]).trim();
  const isUp = () =>
    proveServer({ kind: 'private', socket }, 500).then(
      () => true,
      () => false,
    );
  expect(await isUp()).toBe(true);
  parent.kill('SIGKILL');
  await parent;
  await becomes(async () => !(await isUp()));
});
