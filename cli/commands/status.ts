import { resolve } from 'node:path';
import type { Command } from 'commander';
import type { Redis } from 'ioredis';
import { GoodgateError } from '../../jobs/errors.js';
import { readBatchEntries } from '../../jobs/queue/batch-entries.js';
import type { BatchEntry } from '../../jobs/queue/messages.js';
import { readPresent } from '../../jobs/queue/present-workers.js';
import { count } from '../../jobs/words/numbers.js';
import { visible } from '../../jobs/words/plain-text.js';
import { progressPercent } from '../../jobs/words/quantities.js';
import { moment } from '../../jobs/words/times.js';
import { readEnvironment } from '../environment.js';
import type { CommandHelp } from '../help/command-help.js';
import { openQueue } from '../open-queue.js';
import { print, printJson } from '../print.js';
import { type BatchState, type ClipState, stateInFolder, stateOnServer } from '../run/batch-state.js';
import { rememberedBatches } from '../run/remembered-batches.js';
import { redisOption } from './options.js';

/** Of batches that the server does not know; all others can be named by their folder. */
const IN_FOLDERS_AT_MOST = 20;

/** Batches of this state folder that the server does not know: those of a `run`, those it lost. */
async function onlyInFolders(stateFolder: string, entries: readonly BatchEntry[]): Promise<BatchState[]> {
  const known = new Set(entries.map(({ out }) => out));
  const folders = (await rememberedBatches(stateFolder)).map(({ out }) => out);
  const states = await Promise.all(folders.filter((out) => !known.has(out)).map(stateInFolder));
  return states
    .flatMap((state) => state ?? [])
    .sort((a, b) => (a.submittedAt < b.submittedAt ? 1 : -1))
    .slice(0, IN_FOLDERS_AT_MOST);
}

/** A batch named by id, by the beginning of its id, or by its folder. */
async function find(
  wanted: string,
  entries: readonly BatchEntry[],
  inFolders: readonly BatchState[],
): Promise<BatchEntry | BatchState> {
  const folder = resolve(wanted);
  const hits = [
    ...entries.filter((entry) => entry.id.startsWith(wanted) || entry.out === folder),
    ...inFolders.filter((state) => state.batch.startsWith(wanted) || state.out === folder),
  ];
  const [hit] = hits;
  if (hit !== undefined && hits.length === 1) return hit;
  const state = hits.length === 0 ? await stateInFolder(folder) : null;
  if (state !== null) return state;
  throw new GoodgateError('unknown-batch', {
    what:
      hits.length > 1
        ? `${wanted} fits ${hits.length} batches`
        : `no batch ${wanted} is on the queue, and no folder of that name holds one`,
    next: 'goodgate status lists the batches there are',
  });
}

async function statesOf(
  wanted: string | undefined,
  stateFolder: string,
  redis: Redis,
): Promise<BatchState[]> {
  const entries = await readBatchEntries(redis);
  const inFolders = await onlyInFolders(stateFolder, entries);
  const chosen = wanted === undefined ? [...entries, ...inFolders] : [await find(wanted, entries, inFolders)];
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
  unknown: 'unknown',
} as const satisfies Record<ClipState['state'], string>;

function countsOf({ clips }: BatchState): string {
  const inState = (state: ClipState['state']) => clips.filter((clip) => clip.state === state).length;
  return [
    `${inState('completed')} of ${count(clips.length, 'clip')} done`,
    ...(['active', 'waiting', 'delayed', 'failed', 'unknown'] as const)
      .filter((state) => inState(state) > 0)
      .map((state) => `${inState(state)} ${WORDS[state]}`),
  ].join(', ');
}

function reportLine({ report, out }: BatchState): string {
  if (report.state === 'waiting') return visible(out);
  if (report.state === 'failed') {
    return `${visible(out)}\n  the report could not be written: ${visible(report.reason ?? '')}\n  mend the cause and submit it again: what is whole stays`;
  }
  return report.path === null
    ? `${visible(out)}\n  its report is not there, or cannot be seen from here`
    : `report: ${visible(report.path)}`;
}

function linesOf(state: BatchState, isAlone: boolean): string[] {
  const by = state.by === null ? '' : ` by ${visible(state.by.user)} on ${visible(state.by.host)}`;
  const lines = [
    `${state.batch}  ${visible(state.title)}`,
    `  submitted ${visible(moment(state.submittedAt))}${by}`,
    `  ${countsOf(state)}`,
    `  ${reportLine(state)}`,
    ...state.notes.map((note) => `  ${visible(note)}`),
  ];
  if (!isAlone) return lines;
  for (const { clip, state: word, fraction, reason } of state.clips) {
    const share = word === 'active' && fraction !== null ? ` ${progressPercent(fraction)}` : '';
    lines.push(`  ${(WORDS[word] + share).padEnd(20)} ${visible(clip)}`);
    if (reason !== null) lines.push(`                       ${visible(reason)}`);
  }
  return lines;
}

export const help: CommandHelp = {
  notes: [
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
