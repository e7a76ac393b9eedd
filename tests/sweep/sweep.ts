import { mkdtemp, readdir, rm, stat } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join, relative } from 'node:path';
import { execa } from 'execa';
import { measureFile } from '../../workers/measure/measure-file.js';
import { probeClip } from '../../workers/probe/probe-clip.js';
import { decodesWhole, pictureTruth, soundTruth } from './decoded-truth.js';
import { pictureStatements, type Statement, soundStatements, wholeStatement } from './statements.js';
import { type Made, sweepOf } from './sweep-media.js';
import { sweepOutputs } from './sweep-outputs.js';

/**
 * Every encoder of this ffmpeg in the containers that take it, at odd sizes, rates, shapes and layouts:
 * each statement of headers and measurement held against an independent decode. Not part of the suite: it
 * takes minutes. `npm run sweep [part of a name]`; SWEEP_CONTAINERS: how many for each encoder,
 * SWEEP_MINUTES: no file is begun after so many. `npm run sweep -- --media FOLDER` does the same with the
 * files of a folder, the smallest first and none above 30 MB; `--outputs FOLDER` makes an archive, an
 * intermediate and a proxy of each and holds those against a decode of the original.
 */
async function main(): Promise<void> {
  const [first = '', second] = process.argv.slice(2);
  const until = Date.now() + 60_000 * Number(process.env['SWEEP_MINUTES'] ?? 600);
  const tally = new Map<string, { right: number; wrong: number; unknown: number }>();
  const refused: string[] = [];
  let files = 0;
  if (first === '--media') {
    if (second === undefined) throw new Error('--media needs a folder');
    for (const path of await filesBelow(second)) {
      if (Date.now() < until) await hold(foundMedia(relative(second, path)), path);
    }
  } else if (first === '--outputs') {
    if (second === undefined) throw new Error('--outputs needs a folder');
    const made = await sweepOutputs(second, count);
    files += made.files;
    refused.push(...made.refused);
  } else await sweepEncoders(first);
  console.log(`\n${files} files\n\n| statement | right | wrong | unknown |\n| --- | --- | --- | --- |`);
  for (const [about, { right, wrong, unknown }] of [...tally].sort()) {
    console.log(`| ${about} | ${right} | ${wrong} | ${unknown} |`);
  }
  for (const line of refused) console.log(`refused: ${line}`);

  async function sweepEncoders(only: string): Promise<void> {
    const perEncoder = Number(process.env['SWEEP_CONTAINERS'] ?? 3);
    const folder = await mkdtemp(join(tmpdir(), 'goodgate-sweep-'));
    const taken = new Map<string, number>();
    try {
      for (const made of inTurn(await sweepOf('V'), await sweepOf('A'))) {
        if (!made.name.includes(only) || Date.now() > until) continue;
        const encoder = made.name.split('.')[0] ?? '';
        if ((taken.get(encoder) ?? 0) >= perEncoder) continue;
        const path = join(folder, made.name);
        if (!(await encode(made, path))) continue;
        taken.set(encoder, (taken.get(encoder) ?? 0) + 1);
        await hold(made, path);
        await rm(path, { force: true });
      }
    } finally {
      await rm(folder, { recursive: true, force: true });
    }
  }

  async function hold(made: Made, path: string): Promise<void> {
    files++;
    try {
      const statements = await statementsOf(made, path);
      if (statements.length === 0) refused.push(`${made.name}: no picture and no sound can be decoded`);
      for (const statement of statements) count(made.name, statement);
      if (process.stderr.isTTY || process.env['SWEEP_TELL'] !== undefined) console.log(`held: ${made.name}`);
    } catch (error) {
      refused.push(`${made.name}: ${error instanceof Error ? error.message.slice(0, 200) : String(error)}`);
    }
  }

  function count(name: string, { about, said, truth, right }: Statement): void {
    const row = tally.get(about) ?? { right: 0, wrong: 0, unknown: 0 };
    tally.set(about, row);
    if (said === null) {
      row.unknown++;
      console.log(`unknown: ${name}: ${about}: in truth ${truth}`);
    } else if (right) row.right++;
    else {
      row.wrong++;
      console.log(`wrong: ${name}: ${about}: ${said}, in truth ${truth}`);
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

/** No more is known of a file somebody else made than its name. */
const foundMedia = (name: string): Made => ({ name, args: [], rate: null, aspect: null, colour: null });

const MOST_BYTES = 30e6;

/** Every file below a folder, the smallest first. */
async function filesBelow(folder: string): Promise<string[]> {
  const entries = await readdir(folder, { recursive: true, withFileTypes: true });
  const paths = entries.filter((entry) => entry.isFile()).map(({ path, name }) => join(path, name));
  const sized = await Promise.all(paths.map(async (path) => ({ path, bytes: (await stat(path)).size })));
  const small = sized.filter(({ bytes }) => bytes > 0 && bytes <= MOST_BYTES);
  return small.sort((a, b) => a.bytes - b.bytes).map(({ path }) => path);
}

async function encode({ args }: Made, path: string): Promise<boolean> {
  const { exitCode } = await execa('ffmpeg', ['-nostdin', '-y', '-loglevel', 'quiet', ...args, path], {
    reject: false,
    timeout: 60_000,
  });
  return exitCode === 0 && (await stat(path)).size > 0;
}

async function statementsOf(made: Made, path: string): Promise<Statement[]> {
  const isFound = made.args.length === 0;
  const picture = isFound || made.rate !== null ? await pictureTruth(path) : null;
  const sound = isFound || made.rate === null ? await soundTruth(path) : null;
  if (picture === null && (sound === null || sound.samples === 0)) return [];
  const facts = await probeClip(path);
  const measurement = await measureFile(path, { facts });
  return [
    wholeStatement(measurement, !isFound || (await decodesWhole(path))),
    ...(picture === null ? [] : pictureStatements(made, facts, measurement, picture)),
    ...(sound === null || sound.samples === 0 ? [] : soundStatements(facts, measurement, sound)),
  ];
}

await main();
