import { resolve } from 'node:path';
import type { Command } from 'commander';
import { problemsOf } from '../../jobs/documents/document-problems.js';
import { GoodgateError } from '../../jobs/errors.js';
import { FLASH_CAUTION } from '../../jobs/measurement/measured-flashes.js';
import type { Region } from '../../jobs/requirements/region.js';
import { loadTarget } from '../../jobs/targets/load-target.js';
import { loadWaivers } from '../../jobs/verdict/load-waivers.js';
import { localDay, type Waiver, waiver } from '../../jobs/verdict/waivers.js';
import { visible } from '../../jobs/words/plain-text.js';
import { fileState, whileUnchanged } from '../../workers/file/file-state.js';
import { hashFile } from '../../workers/file/hash-file.js';
import { whyOutside } from '../../workers/judge/regions.js';
import { writeWaiver } from '../../workers/judge/write-waiver.js';
import { probeClip } from '../../workers/probe/probe-clip.js';
import { readEnvironment } from '../environment.js';
import type { CommandHelp } from '../help/command-help.js';
import { interruptSignal } from '../interrupt.js';
import { print, printJson, warn } from '../print.js';
import { fractionProgress } from '../progress/fraction-progress.js';
import { targetFolderOption } from './options.js';

interface Options {
  finding: string;
  by: string;
  why: string;
  until: string;
  target?: string;
  targetFolder?: string;
  unmeasured?: boolean;
  from?: string;
  to?: string;
  json?: boolean;
}

export const help: CommandHelp = {
  notes: [
    'A waiver holds for the very file it was given for (its SHA-256 is kept with it). The finding is still reported, with who accepted it and why; it no longer fails the file.',
  ],
  examples: [
    [
      'goodgate waive a.mov --finding raster --by RI --why agreed --until 2030-01-31',
      'for the whole programme',
    ],
    ['... --from 10:00:12:00 --to 10:00:14:00', 'for a part of it'],
  ],
  exits: { 0: 'the waiver is written', 130: true },
};

export function register(program: Command): void {
  program
    .command('waive')
    .description('accept one finding of a master in a file beside it: who, why and until when')
    .argument('<file>', 'the master, as it was checked')
    .requiredOption('--finding <name>', 'the requirement, as the finding names it')
    .requiredOption('--by <who>', 'who accepts it')
    .requiredOption('--why <text>', 'why it can be accepted')
    .requiredOption('--until <date>', 'last day it holds, YYYY-MM-DD')
    .addOption(targetFolderOption())
    .option('-t, --target <name>', 'only for verdicts against this target, a name or a file')
    .option(
      '--unmeasured',
      'accept that it could not be measured; without this, only what was measured is accepted',
    )
    .option('--from <timecode>', 'first frame it holds for: a timecode of the file, or a frame from 0')
    .option('--to <timecode>', 'first frame it no longer holds for')
    .option('--json', 'print { file, waiver }')
    .action(async (file: string, options: Options) => {
      const master = resolve(file);
      await fileState(master);
      await loadWaivers(master);
      const wanted = await readWaiver(options);
      if (wanted.range !== undefined) await requireWithin(wanted.range, master);
      const interrupt = interruptSignal();
      const progress = fractionProgress('hashing');
      try {
        const { result: sha256 } = await whileUnchanged(master, () =>
          hashFile(master, { signal: interrupt.signal, onProgress: progress.update }),
        );
        progress.stop();
        const written = await writeWaiver(master, { ...wanted, sha256 });
        if (options.json) printJson({ file: written, waiver: { ...wanted, sha256 } });
        else {
          print(`waived: ${wanted.finding} until ${wanted.until}, by ${visible(wanted.by)}`);
          print(`in:     ${visible(written)}`);
        }
        if (wanted.finding === 'flashes') warn(`A waiver makes no flashing picture safe. ${FLASH_CAUTION}`);
      } finally {
        progress.stop();
        interrupt.dispose();
      }
    });
}

/**
 * What was asked for, checked as the file would be before anything is read. Errors: bad-option,
 * unknown-target.
 */
async function readWaiver(options: Options): Promise<Omit<Waiver, 'sha256'>> {
  const edges = { from: edge(options.from), to: edge(options.to) };
  const hasRange = edges.from !== undefined || edges.to !== undefined;
  const target =
    options.target === undefined
      ? undefined
      : (await loadTarget(options.target, { baseFolder: process.cwd(), targetFolder: options.targetFolder }))
          .name;
  const { finding, by, why, until } = options;
  const wanted = {
    finding,
    ...(target === undefined ? {} : { target }),
    ...(hasRange ? { range: defined(edges) } : {}),
    ...(options.unmeasured === true ? { unmeasured: true } : {}),
    by,
    why,
    until,
  };
  const read = checkOptions(wanted);
  if (read.until < localDay(new Date())) {
    throw new GoodgateError('bad-option', {
      what: `--until ${read.until} is past`,
      next: 'name today or a later day',
    });
  }
  return read;
}

/** A part that the programme does not have waives nothing: told now, not by the next check. */
async function requireWithin(range: Region, master: string): Promise<void> {
  const { tools } = readEnvironment();
  const { video, container } = await probeClip(master, { tools });
  const clock = { frameRate: video?.frameRate ?? null, startTimecode: container.startTimecode };
  const outside = whyOutside(range, video?.frames ?? null, clock);
  if (outside === null) return;
  throw new GoodgateError('bad-option', {
    what: outside,
    where: '--from and --to',
    next: 'take the edges from the finding: goodgate check shows them',
  });
}

function checkOptions(wanted: object): Omit<Waiver, 'sha256'> {
  const schema = waiver.omit({ sha256: true });
  const result = schema.safeParse(wanted);
  if (result.success) return result.data;
  const problems = problemsOf(result.error, schema, wanted, 20).map(({ path, message }) => {
    const [key, edgeName] = path.map(String);
    const option = key === 'range' ? (edgeName ?? 'from and --to') : key;
    return `--${option}: ${message}`;
  });
  throw new GoodgateError('bad-option', {
    what: problems.join('; '),
    next: 'goodgate waive --help says what each option takes',
  });
}

/** Digits alone are a frame, anything else has to be a timecode. */
function edge(text: string | undefined): string | number | undefined {
  return text !== undefined && /^\d{1,9}$/.test(text) ? Number(text) : text;
}

function defined(edges: { from: string | number | undefined; to: string | number | undefined }): object {
  return Object.fromEntries(Object.entries(edges).filter(([, value]) => value !== undefined));
}
