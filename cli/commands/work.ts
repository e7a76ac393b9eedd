import { once } from 'node:events';
import { resolve } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import type { Queue } from 'bullmq';
import { type Command, InvalidArgumentError } from 'commander';
import type { Redis } from 'ioredis';
import { describeServer } from '../../jobs/queue/connection.js';
import { SHARED_QUEUES } from '../../jobs/queue/names.js';
import { openQueueNamed } from '../../jobs/queue/open-queues.js';
import { below, LOG_FILE } from '../../workers/batch/folder.js';
import { askCapabilities } from '../../workers/capabilities/ask-ffmpeg.js';
import type { Log, Site } from '../../workers/clip-context.js';
import { startClipWorker } from '../../workers/queue/clip-worker.js';
import { startReportWorker } from '../../workers/queue/report-worker.js';
import { shareParts } from '../../workers/queue/shared-parts.js';
import { readEnvironment } from '../environment.js';
import type { CommandHelp } from '../help/command-help.js';
import { interruptSignal } from '../interrupt.js';
import { type LogLevel, startLogging } from '../logging.js';
import { openQueue } from '../open-queue.js';
import { defaultWorkers } from '../prepare-plan.js';
import { say, warn } from '../print.js';
import { goodgateVersion } from '../version.js';
import { isOpen, parseWindow, type WorkWindow } from '../work-window.js';
import { logLevelOption, redisOption, repeatable, wholeNumber } from './options.js';

interface Options {
  concurrency?: number;
  between?: WorkWindow;
  root: string[];
  redis?: string;
  untilEmpty?: boolean;
  logLevel: LogLevel;
}

const LOOK_EVERY_MS = 1_000;
/**
 * ffmpeg is given five seconds to close its files before it is killed; the queue is told of it after that.
 */
const LEAVE_MS = 8_000;

function windowArgument(value: string): WorkWindow {
  const window = parseWindow(value);
  if (window === null)
    throw new InvalidArgumentError('A window such as 20:00-07:00 is needed, in local time.');
  return window;
}

/** A logger per batch file, opened once. */
function batchLogs(level: LogLevel) {
  const open = new Map<string, Log>();
  return (out: string): Log => {
    const known = open.get(out);
    if (known !== undefined) return known;
    const made = startLogging({ level, file: below(out, LOG_FILE) }).log;
    open.set(out, made);
    return made;
  };
}

export const help: CommandHelp = {
  notes: ['Ctrl-C or SIGTERM stops at once and gives running clips back to the queue: nothing is lost.'],
  examples: [
    ['goodgate work --root /volumes --root /work', 'take clips that lie there until stopped'],
    ['goodgate work --between 20:00-07:00', 'at night, by local time'],
    ['goodgate work --until-empty', 'end when the queue is empty'],
  ],
  exits: { 0: 'the queue is empty (--until-empty)', 130: true },
};

export function register(program: Command): void {
  program
    .command('work')
    .description('start a worker: take clips from the queue until stopped')
    .option(
      '-c, --concurrency <number>',
      'clips worked on at once (default: what fits this machine)',
      wholeNumber,
    )
    .option(
      '--between <from-to>',
      'take clips only in these hours, local time, such as 20:00-07:00',
      windowArgument,
    )
    .addOption(
      repeatable('--root <folder>', 'folder this worker may read from and write to', 'the current folder'),
    )
    .addOption(redisOption())
    .option('--until-empty', 'end when the queue is empty')
    .addOption(logLevelOption('info'))
    .action(async (options: Options) => {
      const environment = readEnvironment();
      const level = options.logLevel;
      const interrupt = interruptSignal(() => say('stopping: running clips go back to the queue ...'));
      const logging = startLogging({ level });
      const roots = (options.root.length === 0 ? ['.'] : options.root).map((root) => resolve(root));
      const site: Site = {
        capabilities: await askCapabilities({
          tools: environment.tools,
          cacheFolder: environment.stateFolder,
        }),
        version: goodgateVersion(),
        roots,
        tools: environment.tools,
      };
      const queue = await openQueue(environment, options.redis);
      const logOf = batchLogs(level);
      const concurrency = options.concurrency ?? defaultWorkers();
      const parts = shareParts({
        redis: queue.redis,
        site,
        concurrency,
        stop: interrupt.signal,
        log: logging.log,
      });
      const clips = startClipWorker({
        redis: queue.redis,
        queue: SHARED_QUEUES.clips,
        site,
        places: parts.places,
        elsewhere: parts.elsewhere,
        stop: interrupt.signal,
        log: logging.log,
        logFor: (data) => logOf(data.out),
      });
      const reports = startReportWorker({
        redis: queue.redis,
        queue: SHARED_QUEUES.reports,
        site,
        log: logging.log,
        stop: interrupt.signal,
      });
      logging.log.info({ server: describeServer(queue.server), concurrency, roots }, 'worker ready');
      const leave = tellOfServer(queue.redis, logging.log);
      const queues = [SHARED_QUEUES.clips, SHARED_QUEUES.reports].map((name) =>
        openQueueNamed(name, queue.redis),
      );
      try {
        while (!interrupt.signal.aborted) {
          const open = options.between === undefined || isOpen(options.between, new Date());
          if (open && clips.isPaused()) {
            clips.resume();
            parts.places.isOpen = true;
            logging.log.info({}, 'the working hours began');
          } else if (!open && !clips.isPaused()) {
            // Running clips finish; no new one is taken, nor a part of another worker's.
            parts.places.isOpen = false;
            await unlessStopped(clips.pause(true), interrupt.signal);
            logging.log.info({}, 'outside the working hours: no new clip is taken');
          }
          if (options.untilEmpty && (await unlessStopped(isEmpty(queues), interrupt.signal))) break;
          await pause(LOOK_EVERY_MS, interrupt.signal);
        }
      } finally {
        leave();
        const close = async (): Promise<void> => {
          // A clip may wait for parts of itself that are measured here.
          await clips.close().catch(() => undefined);
          await Promise.allSettled([parts.close(), reports.close(), ...queues.map((each) => each.close())]);
          await queue.close();
        };
        // A server that is gone takes no goodbye. What is held by a lock goes back to the queue when that
        // runs out.
        const closing = close();
        while (!(await endsWithin(LEAVE_MS, closing))) {
          // A report that is being written is waited for while the server is there.
          if (queue.redis.status === 'ready') continue;
          warn(
            'the queue does not answer: left without telling it; clips in hand go back when their locks run out',
          );
          logging.flush();
          process.exit(process.exitCode ?? 0);
        }
        logging.flush();
        interrupt.dispose();
      }
      if (!interrupt.signal.aborted) process.exitCode = 0;
    });
}

/**
 * Says once that the server is gone, and once that it is back.
 *
 * @returns a function to call before leaving, after which nothing is said
 */
function tellOfServer(redis: Redis, log: Pick<Log, 'warn' | 'info'>): () => void {
  let isGone = false;
  let isLeaving = false;
  redis.on('close', () => {
    if (!isGone && !isLeaving)
      log.warn({}, 'the queue does not answer; work in hand goes on, and is told when it is back');
    isGone = true;
  });
  redis.on('ready', () => {
    if (isGone) log.info({}, 'the queue is back');
    isGone = false;
  });
  return () => {
    isLeaving = true;
  };
}

async function isEmpty(queues: readonly Queue[]): Promise<boolean> {
  for (const queue of queues) {
    const counts = await queue.getJobCounts('wait', 'prioritized', 'active', 'delayed', 'waiting-children');
    if (Object.values(counts).some((count) => count > 0)) return false;
  }
  return true;
}

/** Waits for an answer of the queue, but no longer than until the worker is stopped: undefined then. */
async function unlessStopped<T>(answer: Promise<T>, signal: AbortSignal): Promise<T | undefined> {
  const stopped = new AbortController();
  const stop = once(signal, 'abort', { signal: stopped.signal }).then(
    () => undefined,
    () => undefined,
  );
  try {
    return signal.aborted ? undefined : await Promise.race([answer, stop]);
  } finally {
    stopped.abort();
  }
}

async function endsWithin(ms: number, work: Promise<void>): Promise<boolean> {
  const timer = new AbortController();
  const late = sleep(ms, false, { signal: timer.signal }).catch(() => false);
  try {
    return await Promise.race([work.then(() => true), late]);
  } finally {
    timer.abort();
  }
}

/** Wakes early when the signal aborts; leaves no listener behind. */
async function pause(ms: number, signal: AbortSignal): Promise<void> {
  await sleep(ms, undefined, { signal }).catch(() => undefined);
}
