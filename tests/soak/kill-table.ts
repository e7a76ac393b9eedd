import { rm } from 'node:fs/promises';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import type { Chance } from './chance.js';
import { type Ground, isAtWork } from './one-fault.js';
import { namedServer, type Started, until } from './shop.js';
import type { Table } from './table.js';
import { endOf, faultsOf, givenUp, halfMade } from './whole.js';

/** Most kills are the hard one; the others have to leave as little. */
const SIGNALS = ['SIGKILL', 'SIGKILL', 'SIGKILL', 'SIGTERM', 'SIGHUP', 'SIGINT'] as const;

/** Ends a program at some moment of its work, and tells whether it was there to be ended. */
async function killSoon(program: Started, chance: Chance, mostMs: number): Promise<string | null> {
  const isOver = program.then(() => true);
  if (await Promise.race([sleep(chance.whole(0, mostMs)).then(() => false), isOver])) return null;
  const signal = chance.one(SIGNALS);
  program.kill(signal);
  await program;
  return signal;
}

/** Kills `run`s with their private server, one after the other, over batches of the card. */
export async function killRuns(kills: number, ground: Ground, table: Table): Promise<void> {
  const { shop, clean, chance } = ground;
  let done = 0;
  for (let round = 1; done < kills; round += 1) {
    const out = join(shop.folder, `runs-${round}`);
    while (done < kills) {
      const run = shop.start(['run', ...shop.wanted(out), '-j', '2']);
      const state = { isOver: false };
      void run.then(() => {
        state.isOver = true;
      });
      await until(async () => state.isOver || (await isAtWork(out)), 60);
      const signal = await killSoon(run, chance, 4_000);
      if (signal === null) break;
      done += 1;
      const row = table.of(`run: ${signal}`);
      row.times += 1;
      row.again += 1;
      row.wrong.push(...(await halfMade(out, clean)));
      tell(done, kills, `run ${signal}`);
    }
    const last = table.of('run: last, undisturbed');
    last.times += 1;
    const { exitCode, stderr } = await shop.start(['run', ...shop.wanted(out)]);
    if (exitCode !== 0) last.wrong.push(`ended with ${exitCode}: ${stderr}`);
    last.wrong.push(...(await faultsOf(out, clean, shop)));
    await rm(out, { recursive: true, force: true });
  }
}

/** Kills workers of a named server, two of which are always there, over batches of the card. */
export async function killWorkers(kills: number, ground: Ground, table: Table): Promise<void> {
  const { shop, clean, chance } = ground;
  const server = await namedServer(shop.folder);
  const env = { REDIS_URL: server.url };
  const begin = (): Started => shop.start(['work', '--root', '.', '-c', '1'], env);
  const workers = [begin(), begin()];
  let done = 0;
  try {
    for (let round = 1; done < kills; round += 1) {
      const out = join(shop.folder, `works-${round}`);
      const submit = (): Promise<unknown> => shop.start(['submit', ...shop.wanted(out)], env);
      await submit();
      const last = table.of('worker: the rest of the batch, undisturbed');
      for (let submits = 1; submits < 6; submits += 1) {
        while (done < kills && (await endOf(out)) === 'running') {
          const at = chance.whole(0, workers.length);
          const worker = workers[at];
          if (worker === undefined) throw new Error('there are two workers');
          // One that waits for a clip that another's death holds back is killed all the same.
          await until(() => worker.log().includes('clip taken'), 10);
          const signal = await killSoon(worker, chance, 1_500);
          workers[at] = begin();
          if (signal === null) continue;
          done += 1;
          const row = table.of(`worker: ${signal}`);
          row.times += 1;
          row.wrong.push(...(await halfMade(out, clean)));
          tell(done, kills, `worker ${signal}`);
        }
        // Clips of killed workers come back when their locks on the queue run out.
        await until(async () => (await endOf(out)) !== 'running', 400);
        const end = await endOf(out);
        if (end === 'running') last.wrong.push('the batch did not end');
        if (end === 'done') break;
        last.givenUp += (await givenUp(out)).length;
        last.again += 1;
        await submit();
      }
      last.times += 1;
      for (const worker of workers) worker.kill('SIGTERM');
      await Promise.all(workers);
      last.wrong.push(...(await faultsOf(out, clean, shop)));
      await rm(out, { recursive: true, force: true });
      if (done < kills) workers.splice(0, 2, begin(), begin());
    }
  } finally {
    for (const worker of workers) worker.kill('SIGKILL');
    await server.stop();
  }
}

function tell(done: number, of: number, what: string): void {
  process.stderr.write(`${done} of ${of}: ${what}\n`);
}
