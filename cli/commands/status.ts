import type { Command } from 'commander';
import type { Redis } from 'ioredis';
import { withoutCodes } from '../../jobs/errors.js';
import { readBatchEntries } from '../../jobs/queue/batch-entries.js';
import { readPresent } from '../../jobs/queue/present-workers.js';
import { count } from '../../jobs/words/numbers.js';
import { visible } from '../../jobs/words/plain-text.js';
import { progressPercent } from '../../jobs/words/quantities.js';
import { moment } from '../../jobs/words/times.js';
import { readEnvironment } from '../environment.js';
import type { CommandHelp } from '../help/command-help.js';
import { openQueue } from '../open-queue.js';
import { print, printJson } from '../print.js';
import { type BatchState, type ClipState, stateOnServer } from '../run/batch-state.js';
import { batchesOnlyInFolders, findBatch } from '../run/find-batch.js';
import { redisOption } from './options.js';

async function statesOf(
  wanted: string | undefined,
  stateFolder: string,
  redis: Redis,
): Promise<BatchState[]> {
  const entries = await readBatchEntries(redis);
  const inFolders = await batchesOnlyInFolders(stateFolder, entries);
  const chosen =
    wanted === undefined ? [...entries, ...inFolders] : [await findBatch(wanted, entries, inFolders)];
  const present = await readPresent(redis);
  const states: BatchState[] = [];
  for (const each of chosen) {
    states.push('batch' in each ? each : await stateOnServer(each, redis, present));
  }
  return states;
}

const WORDS = {
  completed: 'done',
  active: 'being worked on',
  waiting: 'waiting',
  delayed: 'to be tried again',
  failed: 'failed',
  cancelled: 'cancelled',
  unknown: 'unknown',
} as const satisfies Record<ClipState['state'], string>;

function countsOf({ clips }: BatchState): string {
  const inState = (state: ClipState['state']) => clips.filter((clip) => clip.state === state).length;
  return [
    `${inState('completed')} of ${count(clips.length, 'clip')} done`,
    ...(['active', 'waiting', 'delayed', 'failed', 'cancelled', 'unknown'] as const)
      .filter((state) => inState(state) > 0)
      .map((state) => `${inState(state)} ${WORDS[state]}`),
  ].join(', ');
}

/** Worst first, as everywhere. */
function verdictLine({ verdicts }: BatchState): string[] {
  const told = (['fail', 'warn', 'pass'] as const).filter((word) => verdicts[word] > 0);
  return told.length === 0
    ? []
    : [`  verdicts: ${told.map((word) => `${verdicts[word]} ${word}`).join(', ')}`];
}

function workLine({ workers, endsAt, report, paused }: BatchState): string[] {
  if (report.state !== 'waiting' || paused) return [];
  const end = endsAt === null ? [] : [`clips done about ${moment(endsAt)}`];
  const told = workers === null || workers === 0 ? end : [count(workers, 'worker'), ...end];
  return told.length === 0 ? [] : [`  ${told.join(', ')}`];
}

function reportLine({ report, out }: BatchState): string {
  if (report.state === 'waiting') return visible(out);
  if (report.state === 'failed') {
    return `${visible(out)}\n  the report could not be written: ${visible(withoutCodes(report.reason ?? ''))}\n  mend the cause and submit it again: what is whole stays`;
  }
  return report.path === null
    ? `${visible(out)}\n  its report is not there, or cannot be seen from here`
    : `report: ${visible(report.path)}`;
}

function linesOf(state: BatchState, isAlone: boolean): string[] {
  const by = state.by === null ? '' : ` by ${visible(state.by.user)} on ${visible(state.by.host)}`;
  const rank = state.priority === 'normal' ? '' : `  (${state.priority})`;
  const lines = [
    `${state.batch}  ${visible(state.title)}${rank}`,
    `  submitted ${visible(moment(state.submittedAt))}${by}`,
    `  ${countsOf(state)}`,
    ...verdictLine(state),
    ...workLine(state),
    `  ${reportLine(state)}`,
    ...state.notes.map((note) => `  ${visible(withoutCodes(note))}`),
  ];
  if (!isAlone) return lines;
  for (const { clip, state: word, fraction, reason } of state.clips) {
    const share = word === 'active' && fraction !== null ? ` ${progressPercent(fraction)}` : '';
    lines.push(`  ${(WORDS[word] + share).padEnd(20)} ${visible(clip)}`);
    if (reason !== null) lines.push(`                       ${visible(withoutCodes(reason))}`);
  }
  return lines;
}

export const help: CommandHelp = {
  notes: [
    'When the clips are done is reckoned from how long the done ones took: it is told as soon as one is done and others are in hand.',
    'Tells as well who submitted a batch and when, which workers leave it to others and why, and whether its report was written. A batch that the server does not know is told from its folder.',
  ],
  examples: [
    ['goodgate status', 'all batches on the queue, and the last ones that were run'],
    ['goodgate status /work/a001', 'each clip of one, by its folder or the beginning of its id'],
    ['goodgate status --json', 'for a program'],
  ],
  exits: { 0: 'told', 2: 'no such batch, or a wrong option', 3: 'the queue does not answer' },
};

export function register(program: Command): void {
  program
    .command('status')
    .description('show what is queued, running, done and failed')
    .argument('[batch]', "a batch's id, the beginning of it, or its folder")
    .addOption(redisOption())
    .option('--json', 'print one document')
    .action(async (wanted: string | undefined, options: { redis?: string; json?: boolean }) => {
      const environment = readEnvironment();
      const queue = await openQueue(environment, options.redis);
      try {
        const states = await statesOf(wanted, environment.stateFolder, queue.redis);
        if (options.json) printJson(states);
        else if (states.length === 0) print('no batches');
        else print(states.flatMap((state) => linesOf(state, wanted !== undefined)).join('\n'));
      } finally {
        await queue.close();
      }
    });
}
