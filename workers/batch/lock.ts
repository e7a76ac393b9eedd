import { createHash, randomBytes } from 'node:crypto';
import { mkdir, open, readdir, rm, utimes } from 'node:fs/promises';
import { hostname } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { z } from 'zod';
import { foldedPath } from '../../jobs/documents/folded-path.js';
import { withPlainFile } from '../../jobs/documents/read-plain-file.js';
import { GoodgateError } from '../../jobs/errors.js';
import { isOwnerAlive, thisOwner } from '../children/owner.js';
import { ABANDONED_MS } from './attempt.js';
import { errnoOf, writeFailure } from './write-whole.js';

/**
 * Locks of a batch folder, between processes of one machine and of several that share it. A lock is a file
 * `<hash of what is locked>.<number>` that only one can create (O_EXCL), with a record of its owner; its time
 * is renewed while the owner lives. Who finds the owner dead takes the next number and then removes the old
 * file: of several who find that, one gets the number, and whoever sees another's file afterwards steps back.
 *
 * A dead process of this machine is known at once (children/owner.ts). Of another machine or container only
 * the silence tells: a lock whose time did not change for two minutes of our own clock, which compares no two
 * clocks. What that cannot promise: a machine that is cut off or asleep for longer loses its lock while it
 * still works. So an owner looks once more before it gives an output its name (`requireHeld`).
 */
const record = z.object({
  token: z.string(),
  owner: z.string(),
  host: z.string(),
  pid: z.number(),
  since: z.string(),
});
type Record = z.infer<typeof record>;

export interface Rhythm {
  /** How often an owner renews its lock, in ms. */
  readonly beatMs: number;
  /** How often one that waits looks, in ms. */
  readonly lookMs: number;
  /** A lock whose owner cannot be asked is dead after so many ms without a beat. */
  readonly silentMs: number;
}
const RHYTHM: Rhythm = { beatMs: 10_000, lookMs: 500, silentMs: 120_000 };

export interface LockOptions {
  readonly signal?: AbortSignal | undefined;
  /** For how long one waits for an owner that lives, in ms; for ever where it is not given. */
  readonly patienceMs?: number | undefined;
  /** Called for each owner that is waited for, with words for a person. */
  readonly onWait?: ((holder: string) => void) | undefined;
  /** It is called again after so many ms, while the same owner is waited for; never where it is not given. */
  readonly remindMs?: number | undefined;
  /** For tests. */
  readonly rhythm?: Rhythm | undefined;
}

export interface Lock {
  /**
   * That it is still ours.
   *
   * @throws GoodgateError `folder-busy` when another took it, since we were silent for too long.
   */
  requireHeld(): Promise<void>;
  /** Safe to call twice. */
  release(): Promise<void>;
}

/** A lock file as it was found. */
interface Found {
  readonly number: number;
  readonly path: string;
  readonly token: string;
  readonly record: Record | null;
  readonly modifiedMs: number;
}

/**
 * Takes the lock of one thing of a folder, and waits for whoever has it.
 *
 * @param folder where the locks of a batch lie; made where it is not there
 * @param what a name, compared as file systems that ignore case do
 * @throws GoodgateError `folder-busy` when it was waited for long enough, `interrupted`, `cannot-write`,
 * `disk-full`.
 */
export async function takeLock(folder: string, what: string, options: LockOptions = {}): Promise<Lock> {
  return takeLockNamed(folder, lockName(what), options);
}

/**
 * `takeLock` for several things at once; in one order, so that two who want the same never block each other.
 */
export async function takeLocks(
  folder: string,
  whats: readonly string[],
  options: LockOptions = {},
): Promise<Lock> {
  const held: Lock[] = [];
  const release = async (): Promise<void> => {
    for (const lock of held) await lock.release();
  };
  try {
    const names = [...new Set(whats.map(lockName))].sort();
    for (const name of names) held.push(await takeLockNamed(folder, name, options));
  } catch (error) {
    await release();
    throw error;
  }
  return {
    release,
    async requireHeld() {
      for (const lock of held) await lock.requireHeld();
    },
  };
}

/** Removes the locks of dead owners; those of living ones, and of ones that cannot be asked, stay. */
export async function sweepLocks(folder: string): Promise<void> {
  const names = await readdir(folder).catch(() => []);
  for (const name of new Set(names.map((file) => file.slice(0, file.lastIndexOf('.'))))) {
    // By taking them: nobody else may remove the file of a lock.
    const lock = await takeLockNamed(folder, name, { patienceMs: 0, isAsking: true }).catch(() => null);
    await lock?.release();
  }
}

function lockName(what: string): string {
  return createHash('sha256').update(foldedPath(what)).digest('hex').slice(0, 24);
}

async function takeLockNamed(
  folder: string,
  name: string,
  options: LockOptions & { readonly isAsking?: boolean },
): Promise<Lock> {
  const watch = new Watch(options.rhythm ?? RHYTHM);
  const told = new Map<string, number>();
  const begun = performance.now();
  for (;;) {
    if (options.signal?.aborted) {
      throw new GoodgateError('interrupted', { what: 'stopped while waiting for a lock', where: folder });
    }
    const found = await list(folder, name);
    const held = found
      .map((file) => ({ file, life: watch.lifeOf(file) }))
      .find(({ life }) => life !== 'dead');
    if (held === undefined) {
      const lock = await tryTake(folder, name, { dead: found, rhythm: options.rhythm ?? RHYTHM });
      if (lock !== null) return lock;
      // Others want it too: one of them, or we, will have it next time.
      await sleep(Math.random() * 50);
      continue;
    }
    const holder = holderOf(held.file.record);
    const tellAt = told.get(held.file.token) ?? 0;
    if (performance.now() >= tellAt) {
      options.onWait?.(holder);
      told.set(held.file.token, performance.now() + (options.remindMs ?? Number.POSITIVE_INFINITY));
    }
    const isLate = performance.now() - begun >= (options.patienceMs ?? Number.POSITIVE_INFINITY);
    // One that cannot be asked is watched until it shows that it lives, or does not.
    if (isLate && (held.life === 'alive' || options.isAsking === true)) throw busy(folder, holder);
    const { lookMs } = options.rhythm ?? RHYTHM;
    await sleep(lookMs, undefined, { signal: options.signal }).catch(() => undefined);
  }
}

function busy(folder: string, holder: string): GoodgateError {
  return new GoodgateError('folder-busy', {
    what: `another goodgate works there: ${holder}`,
    where: folder,
    next: 'wait for it, stop it, or give another folder with --out',
  });
}

function holderOf(found: Record | null): string {
  return found === null
    ? 'one that did not say who it is'
    : `process ${found.pid} on ${found.host}, since ${found.since}`;
}

/**
 * Tells who lives by asking, and of those who cannot be asked by watching whether their locks are renewed.
 */
class Watch {
  private readonly seen = new Map<string, { modifiedMs: number; atMs: number; hasBeaten: boolean }>();

  constructor(private readonly rhythm: Rhythm) {}

  lifeOf({ token, record: owned, modifiedMs }: Found): 'alive' | 'dead' | 'unknown' {
    const alive = owned === null ? null : isOwnerAlive(owned.owner);
    if (alive !== null) return alive ? 'alive' : 'dead';
    if (Date.now() - modifiedMs > ABANDONED_MS) return 'dead';
    const now = performance.now();
    const last = this.seen.get(token);
    if (last === undefined || last.modifiedMs !== modifiedMs) {
      const hasBeaten = last !== undefined;
      this.seen.set(token, { modifiedMs, atMs: now, hasBeaten });
      return hasBeaten ? 'alive' : 'unknown';
    }
    if (now - last.atMs > this.rhythm.silentMs) return 'dead';
    return last.hasBeaten ? 'alive' : 'unknown';
  }
}

async function list(folder: string, name: string): Promise<Found[]> {
  const files = await readdir(folder).catch(() => []);
  const found: Found[] = [];
  for (const file of files) {
    const number = Number(file.slice(name.length + 1));
    if (!file.startsWith(`${name}.`) || !Number.isSafeInteger(number)) continue;
    const read = await readLock(join(folder, file), number);
    if (read !== null) found.push(read);
  }
  return found;
}

/** Opened each time: a network file system then asks its server for the file's time. Null: it is gone. */
async function readLock(path: string, number: number): Promise<Found | null> {
  try {
    return await withPlainFile(path, async (file, { mtimeMs, ino }) => {
      const parsed = record.safeParse(parseJson(await file.readFile('utf8')));
      const token = parsed.success ? parsed.data.token : `${ino}`;
      return { number, path, token, record: parsed.success ? parsed.data : null, modifiedMs: mtimeMs };
    });
  } catch (error) {
    if (errnoOf(error) === 'ENOENT') return null;
    throw writeFailure(path, error);
  }
}

function parseJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    // Just being written, or of a disk that was full.
    return null;
  }
}

/** Takes the lock if nobody else does at the same time; null when somebody may. */
async function tryTake(
  folder: string,
  name: string,
  { dead, rhythm }: { readonly dead: readonly Found[]; readonly rhythm: Rhythm },
): Promise<Lock | null> {
  const number = Math.max(0, ...dead.map((file) => file.number)) + 1;
  const path = join(folder, `${name}.${number}`);
  const token = randomBytes(12).toString('hex');
  if (!(await createLock(folder, path, token))) return null;
  const known = new Set([token, ...dead.map((file) => file.token)]);
  const others = (await list(folder, name)).filter((file) => !known.has(file.token));
  if (others.length > 0) {
    await rm(path, { force: true }).catch(() => undefined);
    return null;
  }
  for (const file of dead) await rm(file.path, { force: true }).catch(() => undefined);
  return holding(path, token, rhythm);
}

/** False when another has this number. */
async function createLock(folder: string, path: string, token: string): Promise<boolean> {
  const owned: Record = {
    token,
    owner: thisOwner(),
    host: hostname(),
    pid: process.pid,
    since: new Date().toISOString(),
  };
  try {
    await mkdir(folder, { recursive: true });
    const file = await open(path, 'wx');
    try {
      await file.writeFile(`${JSON.stringify(owned)}\n`);
    } catch (error) {
      await rm(path, { force: true }).catch(() => undefined);
      throw error;
    } finally {
      await file.close();
    }
    return true;
  } catch (error) {
    if (errnoOf(error) === 'EEXIST') return false;
    throw writeFailure(path, error);
  }
}

function holding(path: string, token: string, { beatMs }: Rhythm): Lock {
  const beat = setInterval(() => {
    const now = new Date();
    void utimes(path, now, now).catch(() => undefined);
  }, beatMs);
  beat.unref();
  const isOurs = async (): Promise<boolean> => (await readLock(path, 0))?.token === token;
  return {
    async requireHeld() {
      if (await isOurs()) return;
      throw new GoodgateError('folder-busy', {
        what: 'another goodgate took over this work, since this one gave no sign of life for two minutes',
        where: path,
        next: 'nothing need be done: what the other makes is whole',
      });
    },
    async release() {
      clearInterval(beat);
      if (await isOurs().catch(() => false)) await rm(path, { force: true }).catch(() => undefined);
    },
  };
}
