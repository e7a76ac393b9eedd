import { resolve } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { Queue } from 'bullmq';
import { type Command, InvalidArgumentError } from 'commander';
import { describeServer } from '../../jobs/queue/connection.js';
import { KEY_PREFIX, SHARED_QUEUES } from '../../jobs/queue/names.js';
import { below, LOG_FILE } from '../../workers/batch/folder.js';
import { askCapabilities } from '../../workers/capabilities/ask-ffmpeg.js';
import type { Log, Site } from '../../workers/clip-context.js';
import { startClipWorker } from '../../workers/queue/clip-worker.js';
import { startReportWorker } from '../../workers/queue/report-worker.js';
import { shareParts } from '../../workers/queue/shared-parts.js';
import { ffmpegOf, readEnvironment } from '../environment.js';
import { interruptSignal } from '../interrupt.js';
import { LOG_LEVELS, startLogging } from '../logging.js';
import { openQueue } from '../open-queue.js';
import { defaultWorkers } from '../prepare-plan.js';
import { say } from '../print.js';
import { goodgateVersion } from '../version.js';
import { isOpen, parseWindow, type WorkWindow } from '../work-window.js';
import { chosenLevel, collect, wholeNumber } from './options.js';

interface Options {
  concurrency?: number;
  between?: WorkWindow;
  root: string[];
  redis?: string;
  untilEmpty?: boolean;
  logLevel?: string;
}

const LOOK_EVERY_MS = 1_000;

function windowArgument(value: string): WorkWindow {
  const window = parseWindow(value);
  if (window === null)
    throw new InvalidArgumentError('A window such as 20:00-07:00 is needed, in local time.');
  return window;
}

/** A logger per batch file, opened once. */
function batchLogs(level: ReturnType<typeof chosenLevel>) {
  const open = new Map<string, Log>();
  return (out: string): Log => {
    const known = open.get(out);
    if (known !== undefined) return known;
    const made = startLogging({ level, file: below(out, LOG_FILE) }).log;
    open.set(out, made);
    return made;
  };
}

export function register(program: Command): void {
  program
    .command('work')
    .description('be a worker: take clips from the queue until stopped')
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
    .option(
      '--root <folder>',
      'folder this worker may read from and write to; may be given again (default: the current folder)',
      collect,
      [],
    )
    .option('--redis <url>', 'take work from this server instead of the private one')
    .option('--until-empty', 'leave when nothing is queued any more')
    .option('--log-level <level>', `what of the log goes to stderr: ${LOG_LEVELS.join(', ')}`, 'info')
    .addHelpText(
      'after',
      '\nCtrl-C or SIGTERM stops at once and gives running clips back to the queue: nothing is lost.',
    )
    .action(async (options: Options) => {
      const environment = readEnvironment();
      const level = chosenLevel(options.logLevel);
      const interrupt = interruptSignal(() => say('stopping: running clips go back to the queue ...'));
      const logging = startLogging({ level });
      const roots = (options.root.length === 0 ? ['.'] : options.root).map((root) => resolve(root));
      const site: Site = {
        capabilities: await askCapabilities(ffmpegOf(environment)),
        version: goodgateVersion(),
        roots,
        ffmpegPath: environment.ffmpegPath,
        ffprobePath: environment.ffprobePath,
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
      const queues = [SHARED_QUEUES.clips, SHARED_QUEUES.reports].map(
        (name) => new Queue(name, { connection: queue.redis, prefix: KEY_PREFIX }),
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
            await clips.pause(true);
            logging.log.info({}, 'outside the working hours: no new clip is taken');
          }
          if (options.untilEmpty && (await isEmpty(queues))) break;
          await pause(LOOK_EVERY_MS, interrupt.signal);
        }
      } finally {
        // A clip may wait for parts of itself that are measured here.
        await clips.close().catch(() => undefined);
        await Promise.allSettled([parts.close(), reports.close(), ...queues.map((each) => each.close())]);
        await queue.close();
        logging.flush();
        interrupt.dispose();
      }
      if (!interrupt.signal.aborted) process.exitCode = 0;
    });
}

async function isEmpty(queues: readonly Queue[]): Promise<boolean> {
  for (const queue of queues) {
    const counts = await queue.getJobCounts('wait', 'prioritized', 'active', 'delayed', 'waiting-children');
    if (Object.values(counts).some((count) => count > 0)) return false;
  }
  return true;
}

/** Wakes early when the signal aborts; leaves no listener behind. */
async function pause(ms: number, signal: AbortSignal): Promise<void> {
  await sleep(ms, undefined, { signal }).catch(() => undefined);
}
