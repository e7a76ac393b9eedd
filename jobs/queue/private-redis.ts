import { createHash } from 'node:crypto';
import { chmod, lstat, mkdir, rm } from 'node:fs/promises';
import { tmpdir, userInfo } from 'node:os';
import { dirname, join } from 'node:path';
import { execa } from 'execa';
import lockfile from 'proper-lockfile';
import { GoodgateError } from '../errors.js';
import { connect, type RedisServer } from './connection.js';

/**
 * The private Redis: one server per state folder, on a Unix socket only its owner can open, with an
 * append-only file so that queued jobs survive. The first process that needs it starts it; the last one stops
 * it. Each process holds a named connection, so the server notices when one dies. A server that dies is
 * started again by a remaining process.
 */
const PRESENCE = 'goodgate-presence';
/** `sun_path` has 108 bytes on Linux and 104 on macOS, including the terminating zero. */
const LONGEST_SOCKET_PATH = 100;

export interface PrivateRedis {
  readonly server: RedisServer;
  /** Leaves, and stops the server when no other process uses it. Safe to call twice. */
  release(): Promise<void>;
}

function socketPath(stateFolder: string): string {
  const beside = join(stateFolder, 'redis', 'redis.sock');
  if (Buffer.byteLength(beside) <= LONGEST_SOCKET_PATH) return beside;
  const name = createHash('sha256').update(stateFolder).digest('hex').slice(0, 12);
  return join(tmpdir(), `goodgate-${userInfo().uid}`, `${name}.sock`);
}

async function findProgram(): Promise<string> {
  for (const program of ['redis-server', 'valkey-server']) {
    const { exitCode } = await execa(program, ['--version'], { reject: false, timeout: 10_000 });
    if (exitCode === 0) return program;
  }
  throw new GoodgateError('missing-tool', {
    what: 'neither redis-server nor valkey-server is installed, and no REDIS_URL names a server',
    next: 'Debian: apt-get install redis-server; macOS: brew install redis; Fedora: dnf install valkey; or set REDIS_URL',
  });
}

/** For a connection that fails at once instead of retrying. */
const FAIL_FAST = {
  lazyConnect: true,
  maxRetriesPerRequest: 0,
  retryStrategy: () => null,
  connectTimeout: 2_000,
} as const;

async function answers(server: RedisServer): Promise<boolean> {
  const redis = connect(server, FAIL_FAST);
  try {
    await redis.connect();
    return (await redis.ping()) === 'PONG';
  } catch {
    // Not listening yet, or still loading its file.
    return false;
  } finally {
    redis.disconnect();
  }
}

async function waitUntil(check: () => Promise<boolean>, timeoutMs: number): Promise<boolean> {
  const end = Date.now() + timeoutMs;
  while (Date.now() < end) {
    if (await check()) return true;
    await new Promise((resolve) => setTimeout(resolve, 25));
  }
  return false;
}

async function start(folder: string, socket: string): Promise<void> {
  const program = await findProgram();
  await rm(socket, { force: true });
  const child = execa(
    program,
    [
      ['--port', '0'],
      ['--unixsocket', socket],
      ['--unixsocketperm', '700'],
      ['--dir', folder],
      ['--appendonly', 'yes'],
      ['--save', ''],
      ['--maxmemory-policy', 'noeviction'],
      ['--logfile', join(folder, 'redis.log')],
      ['--daemonize', 'no'],
    ].flat(),
    // Detached: Ctrl-C in the terminal reaches the whole process group, and Redis must still run while we
    // shut down.
    { detached: true, stdio: 'ignore', reject: false, cleanup: false },
  );
  child.unref();
  let ended = false;
  void child.then(() => {
    ended = true;
  });
  const server: RedisServer = { kind: 'private', socket };
  const up = await waitUntil(async () => ended || (await answers(server)), 20_000);
  if (!up || ended) {
    throw new GoodgateError('redis-gone', {
      what: `the private ${program} did not start`,
      where: join(folder, 'redis.log'),
      next: 'read that log; when its append-only file is damaged, `redis-check-aof --fix` repairs it',
    });
  }
}

/** Stops the server when no process is connected any more. */
async function stopIfEmpty(server: RedisServer): Promise<void> {
  const redis = connect(server, FAIL_FAST);
  try {
    await redis.connect();
    // A connection that was just closed may still be listed for a moment.
    const empty = await waitUntil(async () => {
      const clients = String(await redis.client('LIST'));
      return !clients.includes(` name=${PRESENCE} `);
    }, 200);
    if (!empty) return;
    // This command gets no reply: the server closes the connection.
    await redis.shutdown('NOSAVE').catch(() => undefined);
  } catch {
    // Gone already.
  } finally {
    redis.disconnect();
  }
  await waitUntil(async () => !(await answers(server)), 10_000);
}

/**
 * Stops the private Redis of a state folder when no process uses it: for processes that died without
 * releasing it. Never throws.
 */
export async function stopUnusedRedis(stateFolder: string): Promise<void> {
  const server: RedisServer = { kind: 'private', socket: socketPath(stateFolder) };
  await locked(join(stateFolder, 'redis'), () => stopIfEmpty(server)).catch(() => undefined);
}

/** Serialises start and stop between processes that share one state folder. */
async function locked<T>(folder: string, work: () => Promise<T>): Promise<T> {
  const release = await lockfile.lock(folder, {
    stale: 30_000,
    retries: { retries: 200, factor: 1, minTimeout: 100, maxTimeout: 200 },
  });
  try {
    return await work();
  } finally {
    await release();
  }
}

/**
 * Joins the private Redis of a state folder, starting it when it does not run.
 *
 * @throws GoodgateError `missing-tool`, `redis-gone`, `cannot-write`.
 */
export async function joinPrivateRedis(stateFolder: string): Promise<PrivateRedis> {
  const folder = join(stateFolder, 'redis');
  const socket = socketPath(stateFolder);
  try {
    await mkdir(folder, { recursive: true, mode: 0o700 });
    await mkdir(dirname(socket), { recursive: true, mode: 0o700 });
    // In a folder that everyone may write to, another user may have created a link or a folder of that name.
    const found = await lstat(dirname(socket));
    if (!found.isDirectory()) throw new Error(`${dirname(socket)} is a link, not a folder`);
    if (found.uid !== userInfo().uid) throw new Error(`${dirname(socket)} belongs to another user`);
    await chmod(dirname(socket), 0o700);
  } catch (error) {
    throw new GoodgateError('cannot-write', {
      what: `the state folder cannot be used: ${error instanceof Error ? error.message : String(error)}`,
      where: folder,
      next: 'name a folder you may write to in GOODGATE_STATE',
      cause: error,
    });
  }
  const server: RedisServer = { kind: 'private', socket };
  const presence = await locked(folder, async () => {
    if (!(await answers(server))) await start(folder, socket);
    const redis = connect(server, { connectionName: PRESENCE });
    await redis.ping();
    return redis;
  });
  let released = false;
  // Restarts a server that dies while in use: its file has the queued jobs, and all connections keep trying.
  presence.on('close', () => {
    if (released) return;
    void locked(folder, async () => {
      if (!released && !(await answers(server))) await start(folder, socket);
    }).catch(() => undefined);
  });
  return {
    server,
    async release() {
      if (released) return;
      released = true;
      // Closing this connection is enough to leave. Whether the server must stop is checked over another
      // connection, which fails at once when the server is already gone.
      presence.disconnect();
      await locked(folder, () => stopIfEmpty(server)).catch(() => undefined);
    },
  };
}
