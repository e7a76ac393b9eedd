import { parseArgs } from 'node:util';
import { chanceOf } from './chance.js';
import { DISK_FULL, FAULTS, type Fault, mountSmallDisk, unmountSmallDisk } from './faults.js';
import { killRuns, killWorkers } from './kill-table.js';
import { oneFault } from './one-fault.js';
import { openShop } from './shop.js';
import { Table } from './table.js';
import { cleanRun } from './whole.js';

/** docs/soak.md tells what this does and shows what it found. */
const { values } = parseArgs({
  options: {
    minutes: { type: 'string' },
    seed: { type: 'string' },
    kills: { type: 'string' },
    clips: { type: 'string' },
    only: { type: 'string' },
    of: { type: 'string' },
  },
});

function wholeOf(name: 'minutes' | 'seed' | 'kills' | 'clips', otherwise: number): number {
  const value = Number(values[name] ?? otherwise);
  if (Number.isSafeInteger(value) && value >= 0) return value;
  throw new Error(`--${name} takes a whole number`);
}

const seed = wholeOf('seed', Date.now() % 1_000_000);
const kills = wholeOf('kills', 0);
const minutes = wholeOf('minutes', kills > 0 ? 0 : 60);
const clips = wholeOf('clips', kills > 0 ? 60 : 6);
const begun = performance.now();
const shop = await openShop(clips);
const table = new Table();
const say = (line: string): boolean => process.stderr.write(`${line}\n`);

try {
  say(`seed ${seed}, ${clips} clips, in ${shop.folder}`);
  const ground = { shop, clean: await cleanRun(shop), chance: chanceOf(seed) };
  if (kills > 0) {
    const share = values.of === undefined ? 2 : 1;
    if (values.of !== 'workers') await killRuns(Math.ceil(kills / share), ground, table);
    if (values.of !== 'runs') await killWorkers(Math.floor(kills / share), ground, table);
  }
  if (minutes > 0) {
    const hasDisk = await mountSmallDisk(shop);
    if (!hasDisk) say('no small disk can be mounted by this user: a full disk is not tried');
    const all = [...FAULTS, ...(hasDisk ? [DISK_FULL] : [])];
    const words = (values.only ?? '').split(',');
    const faults = all.filter(({ name }) => words.some((word) => name.includes(word)));
    let left: Fault[] = [];
    while (performance.now() - begun < minutes * 60_000) {
      // Each comes once before one comes again.
      if (left.length === 0) left = [...faults];
      const fault = ground.chance.one(left);
      left = left.filter((other) => other !== fault);
      const row = table.of(fault.name);
      const before = row.wrong.length;
      await oneFault(fault, ground, row);
      say(
        `${fault.name}: ${row.wrong.length === before ? 'nothing lost' : row.wrong.slice(before).join('; ')}`,
      );
    }
  }
} finally {
  // Also where the soak itself fails: what it saw by then.
  const options = `${kills > 0 ? `--kills ${kills} ` : ''}${values.of === undefined ? '' : `--of ${values.of} `}${minutes > 0 ? `--minutes ${minutes} ` : ''}--clips ${clips}`;
  console.log(`npm run soak -- ${options} --seed ${seed}`);
  console.log(
    `${Math.round((performance.now() - begun) / 60_000)} minutes, ${clips} clips of 2 outputs each\n`,
  );
  for (const line of table.lines()) console.log(line);
  for (const line of table.wrong()) say(line);
  await unmountSmallDisk(shop);
  await shop.close();
}
process.exitCode = table.wrong().length === 0 ? 0 : 1;
