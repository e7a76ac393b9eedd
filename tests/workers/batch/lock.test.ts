import { once } from 'node:events';
import { readdir, utimes, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { setImmediate as nextTurn } from 'node:timers/promises';
import { execa } from 'execa';
import { afterAll, expect, it } from 'vitest';
import { sweepLocks, takeLock, takeLocks } from '../../../workers/batch/lock.js';
import { thisOwner } from '../../../workers/children/owner.js';
import { temporaryFolder } from '../../media/known-clip.js';

const folder = await temporaryFolder();
afterAll(folder.remove);

const QUICK = { beatMs: 5, lookMs: 1, silentMs: 60 };
let made = 0;
const newFolder = (): string => join(folder.path, `locks-${made++}`);

/** The file a process leaves that holds the lock of `what`, as another machine would see it. */
async function ofAnotherMachine(locks: string, what: string): Promise<string> {
  const own = await takeLock(locks, what);
  const [name = ''] = await readdir(locks);
  await own.release();
  const owned = { token: 'theirs', owner: '00000000-17-99', host: 'shed', pid: 17, since: 'last night' };
  await writeFile(join(locks, name), JSON.stringify(owned));
  return join(locks, name);
}

it('lets one in at a time, however many want it, and leaves nothing', async () => {
  const locks = newFolder();
  let inside = 0;
  let most = 0;
  const enter = async (): Promise<void> => {
    const lock = await takeLock(locks, 'proxy/A.mov', { rhythm: QUICK });
    inside += 1;
    most = Math.max(most, inside);
    await nextTurn();
    await lock.requireHeld();
    inside -= 1;
    await lock.release();
  };
  await Promise.all(Array.from({ length: 12 }, enter));
  expect(most).toBe(1);
  expect(await readdir(locks)).toEqual([]);
});

it('takes names for one that a file system takes for one, and others for others', async () => {
  const locks = newFolder();
  const held = await takeLock(locks, 'proxy/Caf\u00e9.mov');
  const impatient = { patienceMs: 0, rhythm: QUICK };
  for (const same of ['proxy/Cafe\u0301.mov', 'PROXY/CAF\u00c9.MOV']) {
    await expect(takeLock(locks, same, impatient)).rejects.toMatchObject({ code: 'folder-busy' });
  }
  const other = await takeLock(locks, 'proxy/Cafe.mov', impatient);
  await other.release();
  await held.release();
});

it('says who is waited for, gives up when it is told to, and when it is stopped', async () => {
  const locks = newFolder();
  const held = await takeLock(locks, 'A');
  const waits: string[] = [];
  const waiting = { rhythm: QUICK, onWait: (holder: string) => waits.push(holder) };
  await expect(takeLock(locks, 'A', { ...waiting, patienceMs: 5 })).rejects.toThrow(`process ${process.pid}`);
  expect(waits).toHaveLength(1);
  // Of a long wait it is said again.
  await expect(takeLock(locks, 'A', { ...waiting, patienceMs: 50, remindMs: 1 })).rejects.toThrow();
  expect(waits.length).toBeGreaterThan(2);
  const stop = AbortSignal.abort();
  await expect(takeLock(locks, 'A', { ...waiting, signal: stop })).rejects.toMatchObject({
    code: 'interrupted',
  });
  await held.release();
});

it('takes several at once, and none where one of them cannot be had', async () => {
  const locks = newFolder();
  const held = await takeLock(locks, 'b');
  const wanted = takeLocks(locks, ['a', 'b', 'c'], { patienceMs: 0, rhythm: QUICK });
  await expect(wanted).rejects.toMatchObject({ code: 'folder-busy' });
  expect(await readdir(locks)).toHaveLength(1);
  await held.release();
  const all = await takeLocks(locks, ['c', 'a', 'b', 'a'], { patienceMs: 0, rhythm: QUICK });
  expect(await readdir(locks)).toHaveLength(3);
  await all.release();
  expect(await readdir(locks)).toEqual([]);
});

it('of a process that was killed is taken at once, by one of many', async () => {
  const locks = newFolder();
  const module = new URL('../../../dist/workers/batch/lock.js', import.meta.url);
  const code = `const { takeLock } = await import(${JSON.stringify(module.href)});
    await takeLock(process.argv[1], 'A'); console.log('held'); setInterval(() => {}, 1000);`;
  const owner = execa('node', ['--input-type=module', '-e', code, locks], { reject: false });
  if (owner.stdout === null) throw new Error('its output is piped');
  await once(owner.stdout, 'data');
  const refused = takeLock(locks, 'A', { patienceMs: 0, rhythm: QUICK });
  await expect(refused).rejects.toThrow(`process ${owner.pid}`);
  owner.kill('SIGKILL');
  await owner;
  // Nobody can be waited for that is not one of these: the first has it, the others follow.
  let inside = 0;
  const enter = async (): Promise<number> => {
    const lock = await takeLock(locks, 'A', { rhythm: QUICK });
    inside += 1;
    const seen = inside;
    await nextTurn();
    inside -= 1;
    await lock.release();
    return seen;
  };
  expect(await Promise.all(Array.from({ length: 6 }, enter))).toEqual([1, 1, 1, 1, 1, 1]);
  expect(await readdir(locks)).toEqual([]);
});

it('of another machine is waited for while it gives signs of life, and taken when it gives none', async () => {
  const locks = newFolder();
  const theirs = await ofAnotherMachine(locks, 'A');
  let beats = 0;
  const beating = setInterval(() => {
    beats += 1;
    const moved = Date.now() / 1000 + beats;
    void utimes(theirs, moved, moved).catch(() => undefined);
  }, 5);
  const patient = takeLock(locks, 'A', { patienceMs: 100, rhythm: { ...QUICK, silentMs: 10_000 } });
  await expect(patient).rejects.toThrow('process 17 on shed, since last night');
  expect(beats).toBeGreaterThan(1);
  clearInterval(beating);
  // However impatient: until it was silent for long enough, or moved, nobody knows.
  const taken = await takeLock(locks, 'A', { patienceMs: 0, rhythm: QUICK });
  await taken.requireHeld();
  expect(await readdir(locks)).toHaveLength(1);
  await taken.release();
  expect(await readdir(locks)).toEqual([]);
});

it('tells an owner that was taken for dead that the lock is no longer its own', async () => {
  const locks = newFolder();
  const lock = await takeLock(locks, 'A');
  await ofAnotherMachineInPlace(locks);
  await expect(lock.requireHeld()).rejects.toMatchObject({ code: 'folder-busy' });
  await lock.release();
  expect(await readdir(locks), 'the lock of the other stays').toHaveLength(1);
});

async function ofAnotherMachineInPlace(locks: string): Promise<void> {
  const [name = ''] = await readdir(locks);
  await writeFile(
    join(locks, name),
    JSON.stringify({ token: 'theirs', owner: '00000000-17-99', host: 'shed', pid: 17, since: 'now' }),
  );
}

it('that its owner did not get to write, as on a full disk, is no lock for ever', async () => {
  const locks = newFolder();
  const path = await ofAnotherMachine(locks, 'A');
  await writeFile(path, '{"tok');
  await (await takeLock(locks, 'A', { rhythm: QUICK })).release();
  expect(await readdir(locks)).toEqual([]);
});

it('sweeping removes locks of the dead, and keeps those that somebody may hold', async () => {
  const locks = newFolder();
  const alive = await takeLock(locks, 'mine');
  const gone = execa('true');
  const { pid = 0 } = gone;
  await gone;
  const dead = thisOwner().replace(/-\d+-/, `-${pid}-`);
  const record = { token: 'dead', owner: dead, host: 'here', pid, since: 'now' };
  await writeFile(join(locks, 'aaaa.1'), JSON.stringify(record));
  await writeFile(join(locks, 'bbbb.1'), JSON.stringify({ ...record, token: 't', owner: '00000000-17-99' }));
  await sweepLocks(locks);
  expect((await readdir(locks)).filter((name) => name.length < 10)).toEqual(['bbbb.1']);
  expect(await readdir(locks)).toHaveLength(2);
  await alive.release();
});
