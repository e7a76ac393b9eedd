import { lookup } from 'node:dns/promises';
import { setTimeout as sleep } from 'node:timers/promises';
import { Redis, type RedisOptions } from 'ioredis';
import { GoodgateError } from '../errors.js';

/** The server of the queue: one that was named, or the private one on its Unix socket. */
export type RedisServer =
  | { readonly kind: 'named'; readonly url: string }
  | { readonly kind: 'private'; readonly socket: string };

/** Name of a server in messages, without its password. */
export function describeServer(server: RedisServer): string {
  if (server.kind === 'private') return `private Redis at ${server.socket}`;
  const address = readAddress(server.url);
  return address === null ? 'the Redis server named' : `Redis at ${address}`;
}

/**
 * Host, port and database of an address; null where it is none. A `/`, `?`, `#` or `@` that stands in a
 * password as it is makes another address of it, of which parts of the password would be shown.
 */
export function readAddress(text: string): string | null {
  if (!/^rediss?:\/\//.test(text) || !URL.canParse(text)) return null;
  const { host, pathname, hash, search } = new URL(text);
  const isPlain = /^\/?\d*$/.test(pathname) && hash === '' && !search.includes('@');
  return isPlain && host !== '' ? `${host}${pathname === '/' ? '' : pathname}` : null;
}

/**
 * Looks the host of a server up before it is named anywhere: where a host was left out, a password stands in
 * its place.
 *
 * @throws GoodgateError `redis-gone`, without the name and without the cause, which holds it.
 */
async function requireKnownHost(url: string, timeoutMs: number): Promise<void> {
  const host = new URL(url).hostname.replace(/^\[|\]$/g, '');
  const late = new AbortController();
  const isKnown = await Promise.race([
    lookup(host).then(
      () => true,
      () => false,
    ),
    sleep(timeoutMs, false, { signal: late.signal }).catch(() => false),
  ]);
  late.abort();
  if (isKnown) return;
  throw new GoodgateError('redis-gone', {
    what: 'the host that --redis or REDIS_URL names is not known here; its name is not shown, since it may be a password',
    next: 'the address is redis://host:6379; a password goes before the host, after a colon and before an at sign; check that this machine can look the host up',
  });
}

/**
 * A connection for BullMQ: commands wait for a lost server to come back instead of failing, since a transcode
 * in progress must survive a restart of Redis.
 */
export function connect(server: RedisServer, options: RedisOptions = {}): Redis {
  const settings: RedisOptions = {
    maxRetriesPerRequest: null,
    retryStrategy: (attempt) => Math.min(250 * attempt, 5_000),
    ...options,
  };
  const redis =
    server.kind === 'private'
      ? new Redis({ ...settings, path: server.socket })
      : new Redis(server.url, settings);
  // ioredis emits an error for every failed attempt; without a listener Node would end the process.
  redis.on('error', () => undefined);
  return redis;
}

/**
 * Checks that the server answers and is new enough, before anything is queued on it.
 *
 * @throws GoodgateError `bad-option` (URL cannot be read), `redis-gone` (no answer within `timeoutMs`),
 * `old-redis`.
 */
export async function proveServer(server: RedisServer, timeoutMs = 5_000): Promise<void> {
  if (server.kind === 'named' && readAddress(server.url) === null) {
    // Not shown: it may hold a password wherever it is wrong.
    throw new GoodgateError('bad-option', {
      what: 'what --redis or REDIS_URL gives is not a Redis address',
      next: 'in a password write %2F %3F %23 %40 for / ? # @; the address is redis://host:6379, with TLS rediss://host:6380/0',
    });
  }
  if (server.kind === 'named') await requireKnownHost(server.url, timeoutMs);
  const redis = connect(server, {
    lazyConnect: true,
    connectTimeout: timeoutMs,
    // A server that accepts the connection and never answers counts as gone too.
    commandTimeout: timeoutMs,
    maxRetriesPerRequest: 0,
    retryStrategy: () => null,
  });
  let lastError: Error | null = null;
  redis.on('error', (error: Error) => {
    lastError = error;
  });
  try {
    await redis.connect();
    const info = await redis.info('server');
    const version = /^(?:redis|valkey)_version:(\d+)\.(\d+)/m.exec(info);
    if (version?.[1] !== undefined && Number(version[1]) < 7) {
      throw new GoodgateError('old-redis', {
        what: `${describeServer(server)} is version ${version[1]}.${version[2] ?? ''}; goodgate needs Redis 7, Valkey 8, or newer`,
        next: 'upgrade it, or unset REDIS_URL so that goodgate starts a private one',
      });
    }
  } catch (error) {
    if (error instanceof GoodgateError) throw error;
    const reason = lastError ?? error;
    if (reason instanceof Error && /^(NOAUTH|WRONGPASS)\b/.test(reason.message)) {
      throw new GoodgateError('redis-gone', {
        what: `${describeServer(server)} wants a password, or another than it was given`,
        next: 'put it into the address, after a colon and before the host, or into REDIS_URL so that no list of processes shows it',
        cause: error,
      });
    }
    throw new GoodgateError('redis-gone', {
      what: `${describeServer(server)} does not answer: ${reason instanceof Error ? reason.message : String(reason)}`,
      next: 'check the address and that the server runs, or unset REDIS_URL so that goodgate starts a private one',
      cause: error,
    });
  } finally {
    redis.disconnect();
  }
}
