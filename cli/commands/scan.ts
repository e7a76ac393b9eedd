import { resolve } from 'node:path';
import { type Command, Option } from 'commander';
import type { Manifest } from '../../jobs/manifest/manifest.js';
import { soundBeside } from '../../jobs/manifest/sound-beside.js';
import { isSoundApart } from '../../jobs/manifest/sound-place.js';
import { type CameIn, cameIn, cameInText } from '../../jobs/plan/came-in.js';
import { count, firstOf } from '../../jobs/words/numbers.js';
import { visible } from '../../jobs/words/plain-text.js';
import { writeWhole } from '../../workers/batch/write-whole.js';
import { scanFolder } from '../../workers/probe/card/scan-folder.js';
import { addScanned, requireManifest } from '../card/add-scanned.js';
import {
  convertManifest,
  isManifestFile,
  MANIFEST_ENDINGS,
  manifestText,
  requireOutput,
} from '../card/convert-manifest.js';
import { readEnvironment } from '../environment.js';
import type { CommandHelp } from '../help/command-help.js';
import { interruptSignal } from '../interrupt.js';
import { requireNewFile } from '../new-file.js';
import { print, say, warn } from '../print.js';
import { scanProgress } from '../progress/scan-progress.js';
import { requireClips } from '../require-clips.js';

interface Options {
  out?: string;
  force?: boolean;
  add?: boolean;
  copies?: boolean;
  json?: boolean;
}

export const help: CommandHelp = {
  notes: [
    'Files that cannot be read are listed in the manifest with the reason. Add there what the files do not state: camera curve, look, exposure, targets.',
    'Index files, thumbnails, playlists and low-resolution copies are left out, and listed: nothing is made of them unless you list them as clips.',
    'A list (.csv) has all that is set for each clip, and no facts: plan and run read them anew. A manifest in place of the folders is written in the form that the name of the new file asks for.',
    'Batch folders are left out: what lies in them was made, and came from no camera.',
  ],
  examples: [
    ['goodgate scan /volumes/A001 -o a001.yaml', 'one card'],
    ['goodgate scan /volumes/A001 /volumes/A002 -o night4.yaml', 'two in one manifest'],
    ['goodgate scan /volumes/B002 --add -o night4.yaml', 'a second card or day, every edit kept'],
    ['goodgate scan /volumes/A001 -o a001.csv', 'a list for a spreadsheet'],
    ['goodgate scan night4.yaml -o night4.csv', 'a manifest as a list'],
    ['goodgate scan /volumes/A001 --json', 'for a program'],
  ],
  exits: { 0: 'the manifest is written, also where it lists files that cannot be read', 130: true },
};

export function register(program: Command): void {
  program
    .command('scan')
    .description('read every file of the folders and write a manifest with the facts of each clip')
    .argument('<folder...>', 'folders copied from camera cards')
    .option('-o, --out <file>', 'write the manifest here (default: -, which is stdout)')
    .option('--force', 'replace a manifest that is there, and what was written into it by hand')
    .addOption(
      new Option(
        '--add',
        'add what is new to the manifest that is there; all that was written by hand stays',
      ).conflicts('force'),
    )
    .option('--copies', 'take low-resolution copies that cameras write beside their clips for clips')
    .option('--json', 'write the manifest as JSON')
    .action(async (given: string[], options: Options) => {
      // As everywhere in a shell, `-` is stdout.
      const file = options.out === '-' ? undefined : options.out;
      const existing = options.add ? await requireManifest(file) : null;
      if (file !== undefined && existing === null) {
        await requireNewFile(resolve(file), {
          force: options.force ?? false,
          endings: MANIFEST_ENDINGS,
          other: 'give --add to bring what is new into it',
        });
      }
      const [first = ''] = given;
      if (given.length === 1 && existing === null && (await isManifestFile(first))) {
        const to = resolve(requireOutput(file));
        await writeWhole(to, await convertManifest(first, to, options.json ?? false));
        say(`wrote ${visible(to)}`);
        return;
      }
      const interrupt = interruptSignal();
      const progress = scanProgress();
      try {
        const manifest = await scanFolder(
          given.map((folder) => resolve(folder)),
          {
            tools: readEnvironment().tools,
            signal: interrupt.signal,
            onProgress: progress.update,
            copies: options.copies ?? false,
          },
        );
        progress.stop();
        const unreadable = manifest.unreadable ?? [];
        requireClips(manifest.clips.length + unreadable.length, manifest.root);
        if (existing !== null) {
          const folders = given.map((folder) => resolve(folder));
          for (const line of await addScanned(existing, manifest, folders)) say(line);
        } else {
          const text = manifestText(manifest, file, options.json ?? false);
          if (file === undefined) print(text.trimEnd());
          else await writeWhole(resolve(file), text);
        }
        for (const { file, reason } of unreadable) warn(`cannot read ${visible(file)}: ${visible(reason)}`);
        for (const line of sequenceLines(manifest)) warn(line);
        for (const line of soundLines(manifest)) say(line);
        for (const line of leftOutLines(manifest)) say(line);
        say(`${cameInText(cameInOf(manifest))}${file === undefined ? '' : `; wrote ${visible(file)}`}`);
      } finally {
        progress.stop();
        interrupt.dispose();
      }
    });
}

/** What came in, as plan, run and report count it; rules skip clips only where a manifest has some. */
function cameInOf({ clips, unreadable = [] }: Manifest): CameIn {
  const kept = clips.filter(({ skip }) => skip !== true);
  return cameIn({
    clips: kept.filter((clip) => !isSoundApart(clip)).map(({ file }) => file),
    ...{ refused: [], unreadable, skipped: clips.filter(({ skip }) => skip === true) },
    soundApart: kept.filter(isSoundApart),
  });
}

/** `shots/s010.#.dpx: missing: 1004, 1007-1010`, for all that is wrong with picture sequences. */
function sequenceLines({ clips }: Manifest): string[] {
  return clips.flatMap(({ file, facts }) =>
    (facts?.sequence?.faults ?? []).map(
      ({ why, numbers }) =>
        `${visible(file)}: ${visible(why)}${numbers.length === 0 ? '' : `: ${firstOf(numbers, 10)}`}`,
    ),
  );
}

/** Recordings told one by one; the manifest has them all. */
const MOST_SOUND = 12;

/** `sound apart: SOUND/T03.wav: scene 12A, take 3, 10:00:00:00, beside A001/C0001.mov`. */
function soundLines({ clips }: Manifest): string[] {
  const sound = soundBeside(clips);
  const lines = sound.slice(0, MOST_SOUND).map(({ file, words, beside }) => {
    const during = beside.length === 0 ? '' : `beside ${firstOf(beside, 3)}`;
    const told = [words, during].filter(Boolean).join(', ');
    return visible(`sound apart: ${file}${told === '' ? '' : `: ${told}`}`);
  });
  const rest = sound.length - lines.length;
  return rest === 0 ? lines : [...lines, `sound apart: and ${count(rest, 'more file')}`];
}

/** `left out: 12 × low-resolution copy (Sub/C0001S03.MP4, ...)`: by name where there are few. */
function leftOutLines({ leftOut = [], notes = [] }: Manifest): string[] {
  const kinds = [...new Set(leftOut.map((each) => each.as))];
  const listed = kinds.map((kind) => {
    const files = leftOut.filter((each) => each.as === kind).map(({ file }) => file);
    return `left out: ${files.length} × ${kind} (${visible(firstOf(files, 3))})`;
  });
  return [...listed, ...notes.map(visible)];
}
