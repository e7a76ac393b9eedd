import { readdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import type { Chance } from './chance.js';
import type { Fault } from './faults.js';
import { type NamedServer, namedServer, type Shop, type Started, until } from './shop.js';
import type { Row } from './table.js';
import { type Clean, endOf, faultsOf, givenUp, halfMade } from './whole.js';

/** A program that does not end by then hangs, which is a fault of ours. */
const HANGS_AFTER_SECONDS = 300;
const STARTS_AT_MOST = 6;

export interface Ground {
  readonly shop: Shop;
  readonly clean: Clean;
  readonly chance: Chance;
}

/** Somebody works on a clip when its lock is taken. */
export function isAtWork(out: string): Promise<boolean> {
  return readdir(join(out, '.locks')).then(
    (files) => files.length > 1,
    () => false,
  );
}

async function ended(program: Started, row: Row): Promise<void> {
  const state = { isOver: false };
  void program.then(() => {
    state.isOver = true;
  });
  if (await until(() => state.isOver, HANGS_AFTER_SECONDS)) return;
  row.wrong.push(`a program did not end: ${program.spawnargs.slice(2).join(' ')}`);
  program.kill('SIGKILL');
  await program;
}

/** A batch under one fault, started again until it is done, and held against the clean run. */
export async function oneFault(fault: Fault, ground: Ground, row: Row): Promise<void> {
  const { shop, clean, chance } = ground;
  const folder = fault.disk?.(shop) ?? shop.folder;
  const out = join(folder, `out-${chance.whole(0, 2 ** 30).toString(36)}`);
  row.times += 1;
  const env = (await fault.prepare?.(shop, chance)) ?? {};
  const server = fault.queue === 'named' ? await namedServer(shop.folder) : null;
  try {
    const first = await start(out, ground, server, env);
    const isOver = Promise.all(first).then(() => true);
    await until(async () => (await isAtWork(out)) || (await endOf(out)) !== 'running', 60);
    await Promise.race([sleep(chance.whole(0, 1_500)), isOver]);
    await fault.disturb({ shop, chance, programs: first, server, out });
    for (const program of first) await ended(program, row);
    row.wrong.push(...(await halfMade(out, clean)));
    for (let starts = 1; (await endOf(out)) !== 'done'; starts += 1) {
      row.givenUp += (await givenUp(out)).length;
      row.again += 1;
      if (starts === STARTS_AT_MOST) break;
      for (const program of await start(out, ground, server, {})) await ended(program, row);
    }
    row.wrong.push(...(await faultsOf(out, clean, shop)));
  } finally {
    await server?.stop();
    await rm(out, { recursive: true, force: true });
    await rm(join(shop.folder, 'named'), { recursive: true, force: true });
  }
}

async function start(
  out: string,
  { shop }: Ground,
  server: NamedServer | null,
  env: Readonly<Record<string, string>>,
): Promise<Started[]> {
  if (server === null) return [shop.start(['run', ...shop.wanted(out), '-j', '2'], env)];
  const named = { ...env, REDIS_URL: server.url };
  await shop.start(['submit', ...shop.wanted(out)], named);
  const work = () => shop.start(['work', '--root', '.', '-c', '1', '--until-empty'], named);
  return [work(), work()];
}
