import { parseArgs } from 'node:util';
import { chanceOf } from './chance.js';
import { DISK_FULL, FAULTS, mountSmallDisk, unmountSmallDisk } from './faults.js';
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
    await killRuns(Math.ceil(kills / 2), ground, table);
    await killWorkers(Math.floor(kills / 2), ground, table);
  }
  if (minutes > 0) {
    const hasDisk = await mountSmallDisk(shop);
    if (!hasDisk) say('no small disk can be mounted by this user: a full disk is not tried');
    const all = [...FAULTS, ...(hasDisk ? [DISK_FULL] : [])];
    const faults = all.filter(({ name }) => name.includes(values.only ?? ''));
    while (performance.now() - begun < minutes * 60_000) {
      const fault = ground.chance.one(faults);
      const row = table.of(fault.name);
      const before = row.wrong.length;
      await oneFault(fault, ground, row);
      say(
        `${fault.name}: ${row.wrong.length === before ? 'nothing lost' : row.wrong.slice(before).join('; ')}`,
      );
    }
  }
} finally {
  await unmountSmallDisk(shop);
  await shop.close();
}

const options = `${kills > 0 ? `--kills ${kills} ` : ''}${minutes > 0 ? `--minutes ${minutes} ` : ''}--clips ${clips}`;
console.log(`npm run soak -- ${options} --seed ${seed}`);
console.log(
  `${Math.round((performance.now() - begun) / 60_000)} minutes, ${clips} clips of 2 outputs each\n`,
);
for (const line of table.lines()) console.log(line);
for (const line of table.wrong()) say(line);
process.exitCode = table.wrong().length === 0 ? 0 : 1;
