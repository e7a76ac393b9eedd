import { setTimeout as sleep } from 'node:timers/promises';
import type { Command } from 'commander';
import { type ErrorCode, GoodgateError } from '../../jobs/errors.js';
import type { Priority } from '../../jobs/plan/submission.js';
import { count, firstOf } from '../../jobs/words/numbers.js';
import { visible } from '../../jobs/words/plain-text.js';
import { readEnvironment } from '../environment.js';
import type { CommandHelp } from '../help/command-help.js';
import { interruptSignal } from '../interrupt.js';
import { openQueue } from '../open-queue.js';
import type { Prepared } from '../prepare-plan.js';
import { describeError, print, say, warn } from '../print.js';
import { foldersToWatch } from '../watch/folders-to-watch.js';
import type { HeldCard } from '../watch/held-cards.js';
import { type WatchedFolder, watchFolder } from '../watch/watch-folder.js';
import {
  batchesOption,
  priorityOption,
  redisOption,
  targetFolderOption,
  targetsOption,
  wholeNumber,
} from './options.js';

/** Seconds; copies over a network pause. */
const STEADY = 60;
/** Looking costs the file system a listing, and one question for each file. */
const LOOK_AT_MOST_EVERY_MS = 1_000;
const LOOK_AT_LEAST_EVERY_MS = 10_000;

const HOPELESS: readonly ErrorCode[] = ['bad-option', 'bad-document', 'unknown-target', 'missing-tool'];

interface Options {
  target: string[];
  batches?: string;
  targetFolder?: string;
  priority: Priority;
  redis?: string;
  steady: number;
  listed?: boolean;
  list?: string;
  json?: boolean;
}

export const help: CommandHelp = {
  notes: [
    'Each folder becomes one batch, FOLDER-goodgate beside it or in --batches, which grows as files come. A file is taken when size and time have stayed the same for --steady seconds; names of half copies (.part, .tmp and the like) and hidden ones are not. Over a network choose more seconds than a copy ever stalls.',
    'A card with a hash list (ascmhl) is taken once every file that the list names is there, in its size and steady; what it waits for is told. Where a list comes last, --listed takes nothing before it. A file that will never come: goodgate attest --ignore takes it off the list.',
    'What was submitted is written in the batch folder: stopped or killed and started again, nothing is submitted twice, and nothing is forgotten. Folders with targets of their own stand in a list (--list): schema goodgate/watch-list@1, then folders with folder, targets and, where they differ from the options, batches, priority, steady and listed. A batch keeps its clips: when they have left the folder, move its batch folder away, and the next files begin another.',
  ],
  examples: [
    ['goodgate watch /volumes/in -t proxy-h264', 'submit what arrives there until stopped'],
    ['goodgate watch /in/a /in/b -t proxy-h264 --steady 300', 'two folders, after five quiet minutes'],
    ['goodgate watch --list watch.yaml', 'folders with targets of their own'],
    ['goodgate watch /volumes/in -t proxy-h264 --json', 'a line of JSON for each submission'],
  ],
  exits: { 0: 'never: it runs until it is stopped', 3: 'the queue does not answer', 130: true },
};

export function register(program: Command): void {
  program
    .command('watch')
    .description('submit files of folders once they have finished arriving')
    .argument('[folders...]', 'folders in which files arrive')
    .option('--list <file>', 'list of folders, each with its own targets (goodgate/watch-list@1)')
    .addOption(targetsOption('none'))
    .addOption(targetFolderOption())
    .addOption(batchesOption())
    .addOption(priorityOption())
    .option('--steady <seconds>', 'so long size and time must stay the same', wholeNumber, STEADY)
    .option('--listed', 'take only what a hash list covers')
    .addOption(redisOption())
    .option('--json', 'print a line of JSON for each submission: { batch, out, jobs, refused, unreadable }')
    .action(async (folders: string[], options: Options) => {
      const wanted = await foldersToWatch({
        ...options,
        batches: options.batches,
        list: options.list,
        listed: options.listed === true,
        folders,
      });
      const environment = readEnvironment();
      const interrupt = interruptSignal();
      const { signal } = interrupt;
      const queue = await openQueue(environment, options.redis);
      try {
        const { targetFolder } = options;
        const watched = wanted.map((each) =>
          watchFolder({ ...each, targetFolder, environment, queue, signal }),
        );
        for (const { folder, out } of watched)
          say(`watching ${visible(folder)}, batch folder ${visible(out)}`);
        const shortest = Math.min(...wanted.map(({ steadySeconds }) => steadySeconds));
        await lookUntilStopped(watched, shortest, signal, options.json ? tellInJson : tell);
      } finally {
        await queue.close();
        interrupt.dispose();
      }
    });
}

async function lookUntilStopped(
  watched: readonly WatchedFolder[],
  steadySeconds: number,
  signal: AbortSignal,
  onSubmitted: (prepared: Prepared) => void,
): Promise<void> {
  const every = Math.min(Math.max(steadySeconds * 250, LOOK_AT_MOST_EVERY_MS), LOOK_AT_LEAST_EVERY_MS);
  const told = new Map<string, string>();
  while (!signal.aborted) {
    for (const each of watched) await lookOnce(each, told, onSubmitted, signal);
    await sleep(every, undefined, { signal }).catch(() => undefined);
  }
}

/** A fault of one folder stops neither the others nor the watch; it is told once, and tried again. */
async function lookOnce(
  each: WatchedFolder,
  told: Map<string, string>,
  onSubmitted: (prepared: Prepared) => void,
  signal: AbortSignal,
): Promise<void> {
  try {
    const { prepared, held } = await each.look();
    const waits = held.map(waitText).join('\n');
    if (waits !== '' && waits !== told.get(each.folder)) say(waits);
    if (waits === '') told.delete(each.folder);
    else told.set(each.folder, waits);
    if (prepared !== null) onSubmitted(prepared);
  } catch (error) {
    if (signal.aborted) return;
    // Wrong from the start, and no waiting mends it.
    if (error instanceof GoodgateError && HOPELESS.includes(error.code)) throw error;
    const text = describeError(error, false);
    if (told.get(each.folder) !== text) warn(`${text}\n  watching goes on`);
    told.set(each.folder, text);
  }
}

/** `A001: waits for 3 files of its hash list: Clips/C001.mov, Clips/C002.mov and 1 more` */
function waitText({ folder, awaited, unread }: HeldCard): string {
  if (unread !== null) return `${visible(folder)}: waits, since ${unread}`;
  const named = firstOf(awaited.map(visible), 2);
  return `${visible(folder)}: waits for ${count(awaited.length, 'file')} of its hash list: ${named}`;
}

function tellInJson({ plan, unreadable }: Prepared): void {
  const { id: batch, out, jobs, refused } = plan;
  print(JSON.stringify({ batch, out, jobs: jobs.length, refused, unreadable }));
}

function tell({ plan, unreadable }: Prepared): void {
  print(`batch ${plan.id}: ${count(plan.jobs.length, 'clip')} of ${visible(plan.root)} queued`);
  for (const { clip, target, reason } of plan.refused)
    warn(`refused: ${visible(clip)}${target === null ? '' : ` -> ${target}`}: ${visible(reason)}`);
  for (const { file, reason } of unreadable) warn(`cannot read ${visible(file)}: ${visible(reason)}`);
}
