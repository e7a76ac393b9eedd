import { mkdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { execa } from 'execa';
import { expect, it } from 'vitest';
import { isOwnerAlive, thisOwner } from '../../../workers/children/owner.js';
import { sweepAbandoned } from '../../../workers/children/temporary-folder.js';

const parts = () => {
  const [world = '', pid = '', start = ''] = thisOwner().split('-');
  return { world, pid, start };
};

it('a process lives while it is the very one', async () => {
  const { world, pid, start } = parts();
  expect(isOwnerAlive(thisOwner())).toBe(true);
  // Its number, given to a process that began at another time.
  if (process.platform === 'linux') expect(isOwnerAlive(`${world}-${pid}-${Number(start) + 1}`)).toBe(false);
  const dead = execa('true');
  const number = dead.pid ?? 0;
  await dead;
  expect(isOwnerAlive(`${world}-${number}-${start}`)).toBe(false);
});

it('of another machine, boot or container nothing is known', () => {
  const { pid, start } = parts();
  expect(isOwnerAlive(`ffffffff-${pid}-${start}`)).toBeNull();
  expect(isOwnerAlive('nonsense')).toBeNull();
});

it('sweeps the folders of the dead, and no others', async () => {
  const { world, start } = parts();
  const dead = execa('true');
  await dead;
  const made = (owner: string) => {
    const path = join(tmpdir(), `goodgate-probe-${owner}-abcdef`);
    mkdirSync(path);
    return path;
  };
  const gone = made(`${world}-${dead.pid}-${start}`);
  const others = [made(thisOwner()), made('ffffffff-1-1')];
  try {
    sweepAbandoned();
    expect(() => mkdirSync(gone)).not.toThrow();
    for (const path of others) expect(() => mkdirSync(path)).toThrow(/EEXIST/);
  } finally {
    for (const path of [gone, ...others]) rmSync(path, { recursive: true, force: true });
  }
});
