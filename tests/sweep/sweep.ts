import { mkdtemp, rm, stat } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { execa } from 'execa';
import { measureFile } from '../../workers/measure/measure-file.js';
import { probeClip } from '../../workers/probe/probe-clip.js';
import { pictureTruth, soundTruth } from './decoded-truth.js';
import { pictureStatements, type Statement, soundStatements } from './statements.js';
import { type Made, sweepOf } from './sweep-media.js';

/**
 * Every encoder of this ffmpeg in the containers that take it, at odd sizes, rates, shapes and layouts:
 * each statement of headers and measurement held against an independent decode. Not part of the suite: it
 * takes minutes. `npm run sweep [part of a name]`; SWEEP_CONTAINERS: how many for each encoder,
 * SWEEP_MINUTES: no file is begun after so many.
 */
async function main(): Promise<void> {
  const only = process.argv[2] ?? '';
  const perEncoder = Number(process.env['SWEEP_CONTAINERS'] ?? 3);
  const until = Date.now() + 60_000 * Number(process.env['SWEEP_MINUTES'] ?? 600);
  const folder = await mkdtemp(join(tmpdir(), 'goodgate-sweep-'));
  const tally = new Map<string, { right: number; wrong: number; unknown: number }>();
  const refused: string[] = [];
  let files = 0;
  try {
    const taken = new Map<string, number>();
    for (const made of inTurn(await sweepOf('V'), await sweepOf('A'))) {
      if (!made.name.includes(only) || Date.now() > until) continue;
      const encoder = made.name.split('.')[0] ?? '';
      if ((taken.get(encoder) ?? 0) >= perEncoder) continue;
      const path = join(folder, made.name);
      if (!(await encode(made, path))) continue;
      taken.set(encoder, (taken.get(encoder) ?? 0) + 1);
      files++;
      try {
        for (const statement of await statementsOf(made, path)) count(made, statement);
      } catch (error) {
        refused.push(`${made.name}: ${error instanceof Error ? error.message.slice(0, 200) : String(error)}`);
      }
      await rm(path, { force: true });
    }
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
  console.log(`\n${files} files\n\n| statement | right | wrong | unknown |\n| --- | --- | --- | --- |`);
  for (const [about, { right, wrong, unknown }] of [...tally].sort()) {
    console.log(`| ${about} | ${right} | ${wrong} | ${unknown} |`);
  }
  for (const line of refused) console.log(`refused: ${line}`);

  function count(made: Made, { about, said, truth, right }: Statement): void {
    const row = tally.get(about) ?? { right: 0, wrong: 0, unknown: 0 };
    tally.set(about, row);
    if (said === null) row.unknown++;
    else if (right) row.right++;
    else {
      row.wrong++;
      console.log(`wrong: ${made.name}: ${about}: ${said}, in truth ${truth}`);
    }
  }
}

/** Pictures and sound in turn, so that a sweep that is stopped has seen both. */
function inTurn(pictures: readonly Made[], sounds: readonly Made[]): Made[] {
  const longest = Math.max(pictures.length, sounds.length);
  return Array.from({ length: longest }, (_, i) => [pictures[i], sounds[i]]).flatMap((pair) =>
    pair.flatMap((made) => made ?? []),
  );
}

async function encode({ args }: Made, path: string): Promise<boolean> {
  const { exitCode } = await execa('ffmpeg', ['-nostdin', '-y', '-loglevel', 'quiet', ...args, path], {
    reject: false,
    timeout: 60_000,
  });
  return exitCode === 0 && (await stat(path)).size > 0;
}

async function statementsOf(made: Made, path: string): Promise<Statement[]> {
  if (made.rate === null) {
    const truth = await soundTruth(path);
    if (truth === null || truth.samples === 0) return [];
    const facts = await probeClip(path);
    return soundStatements(facts, await measureFile(path, { facts }), truth);
  }
  const truth = await pictureTruth(path);
  if (truth === null) return [];
  const facts = await probeClip(path);
  return pictureStatements(made, facts, await measureFile(path, { facts }), truth);
}

await main();
