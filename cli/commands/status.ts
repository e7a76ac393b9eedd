import { stat } from 'node:fs/promises';
import { resolve } from 'node:path';
import type { Command } from 'commander';
import type { Redis } from 'ioredis';
import { GoodgateError } from '../../jobs/errors.js';
import { readBatchEntries } from '../../jobs/queue/batch-entries.js';
import { type BatchEntry, clipProgress } from '../../jobs/queue/messages.js';
import { openQueueNamed } from '../../jobs/queue/open-queues.js';
import { count } from '../../jobs/words/numbers.js';
import { visible } from '../../jobs/words/plain-text.js';
import { progressPercent } from '../../jobs/words/quantities.js';
import { readBatch } from '../../workers/batch/assemble.js';
import { readEnvironment } from '../environment.js';
import type { CommandHelp } from '../help/command-help.js';
import { openQueue } from '../open-queue.js';
import { print, printJson } from '../print.js';
import { redisOption } from './options.js';

interface ClipState {
  readonly clip: string;
  /**
   * The queue's word for it: waiting, active, delayed, completed, failed, or `unknown` when it is not on the
   * queue.
   */
  readonly state: string;
  readonly fraction: number | null;
  readonly reason: string | null;
}

interface BatchState {
  readonly batch: string;
  readonly title: string;
  readonly out: string;
  readonly submittedAt: string;
  readonly clips: readonly ClipState[];
}

async function stateOf(entry: BatchEntry, redis: Redis): Promise<BatchState> {
  const queue = openQueueNamed(entry.queues.clips, redis);
  const clips: ClipState[] = [];
  for (const { queueId, clip } of entry.jobs) {
    const job = await queue.getJob(queueId);
    const progress = clipProgress.safeParse(job?.progress);
    const state = (await job?.getState()) ?? 'unknown';
    clips.push({
      clip,
      state: state === 'prioritized' ? 'waiting' : state,
      fraction: progress.success ? progress.data.fraction : null,
      reason: job?.failedReason ?? null,
    });
  }
  return { batch: entry.id, title: entry.title, out: entry.out, submittedAt: entry.submittedAt, clips };
}

/** A batch named by id, by the beginning of its id, or by its folder. */
async function find(all: readonly BatchEntry[], wanted: string): Promise<BatchEntry> {
  const folder = resolve(wanted);
  const hits = all.filter((entry) => entry.id.startsWith(wanted) || entry.out === folder);
  const hit = hits[0];
  if (hit !== undefined && hits.length === 1) return hit;
  const finished = (await stat(folder).catch(() => null))?.isDirectory() ? await readBatch(folder) : null;
  throw new GoodgateError('unknown-batch', {
    what: hits.length > 1 ? `${wanted} fits ${hits.length} batches` : `no batch ${wanted} is on the queue`,
    next:
      finished === null
        ? 'goodgate status lists the batches there are'
        : `its folder says it is ${finished.state}: open report.html there`,
  });
}

function line(batch: BatchState): string {
  const inState = (state: string) => batch.clips.filter((clip) => clip.state === state).length;
  const parts = [
    `${inState('completed')} of ${count(batch.clips.length, 'clip')} done`,
    ...(['active', 'waiting', 'delayed', 'failed', 'unknown'] as const)
      .filter((state) => inState(state) > 0)
      .map(
        (state) =>
          `${inState(state)} ${state === 'delayed' ? 'to be tried again' : state === 'active' ? 'being worked on' : state}`,
      ),
  ];
  return `${batch.batch}  ${visible(batch.title)}\n  ${parts.join(', ')}\n  ${visible(batch.out)}`;
}

export const help: CommandHelp = {
  examples: [
    ['goodgate status', 'all batches on the queue'],
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
      const queue = await openQueue(readEnvironment(), options.redis);
      try {
        const all = await readBatchEntries(queue.redis);
        const chosen = wanted === undefined ? all : [await find(all, wanted)];
        const states: BatchState[] = [];
        for (const entry of chosen) states.push(await stateOf(entry, queue.redis));
        if (options.json) {
          printJson(states);
          return;
        }
        if (states.length === 0) print('no batches');
        for (const state of states) {
          print(line(state));
          if (wanted === undefined) continue;
          for (const clip of state.clips) {
            const share =
              clip.state === 'active' && clip.fraction !== null ? ` ${progressPercent(clip.fraction)}` : '';
            print(`  ${(clip.state + share).padEnd(14)} ${visible(clip.clip)}`);
            if (clip.reason !== null) print(`                 ${visible(clip.reason)}`);
          }
        }
      } finally {
        await queue.close();
      }
    });
}
