import { join, resolve } from 'node:path';
import { type Command, InvalidArgumentError } from 'commander';
import type { Redis } from 'ioredis';
import { describeServer } from '../../jobs/queue/connection.js';
import type { BatchEntry, ClipJobData } from '../../jobs/queue/messages.js';
import { batchQueues } from '../../jobs/queue/names.js';
import { visible } from '../../jobs/words/plain-text.js';
import { trimBatches } from '../../planner/queue-batch.js';
import { below, LOG_FILE } from '../../workers/batch/folder.js';
import { askUndecodable } from '../../workers/capabilities/ask-decoders.js';
import { askCapabilities } from '../../workers/capabilities/ask-ffmpeg.js';
import type { Log, Site } from '../../workers/clip-context.js';
import { giveNotice } from '../../workers/notice/give-notice.js';
import { ProbedOutputs } from '../../workers/probed-outputs.js';
import { clipSource } from '../../workers/queue/clip-source.js';
import { KnownPlans } from '../../workers/queue/plan-needs.js';
import { softwareOf } from '../../workers/queue/reach.js';
import { reportSource } from '../../workers/queue/report-source.js';
import { shareParts } from '../../workers/queue/shared-parts.js';
import { workBatches } from '../../workers/queue/work-batches.js';
import { readEnvironment } from '../environment.js';
import { learner, onlookers } from '../experience/learner.js';
import type { CommandHelp } from '../help/command-help.js';
import { interruptSignal } from '../interrupt.js';
import { type ListenAddress, parseListenAddress } from '../listen/listen-address.js';
import { listenForWorker, type SeenWorker } from '../listen/seen-worker.js';
import { type LogLevel, startLogging } from '../logging.js';
import {
  NOTICE_HELP,
  type NoticeOptions,
  noticeTo,
  notifyCommandOption,
  notifyUrlOption,
} from '../notice-option.js';
import { openQueue } from '../open-queue.js';
import { defaultWorkers } from '../prepare-plan.js';
import { printJson, say, warn } from '../print.js';
import { keepRemembered } from '../run/keep-remembered.js';
import { rememberBatch } from '../run/remembered-batches.js';
import { restoreBatch, unfinishedIn } from '../run/restore-batch.js';
import { WorkDone } from '../run/work-done.js';
import { goodgateVersion } from '../version.js';
import { tellOfServer } from '../work/tell-of-server.js';
import { endsWithin, pause, unlessStopped } from '../work/waiting.js';
import { isOpen, parseWindow, type WorkWindow } from '../work-window.js';
import { logLevelOption, redisOption, repeatable, wholeNumber } from './options.js';

interface Options extends NoticeOptions {
  concurrency?: number;
  between?: WorkWindow;
  root: string[];
  redis?: string;
  untilEmpty?: boolean;
  listen?: ListenAddress;
  logLevel: LogLevel;
  json?: boolean;
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
  notes: [
    'Ctrl-C or SIGTERM stops at once and gives running clips back to the queue: nothing is lost.',
    '--listen serves /metrics, figures of this worker and its queue in the text format of Prometheus, and /healthy: 200, or 503 with the reason. A port alone is one of this machine only. There is no password: give an address that others reach only within a network of your own.',
    NOTICE_HELP,
    'It takes clips only of batches whose folder and originals it can see, and that were submitted by the same goodgate for the same ffmpeg. What it leaves to others, and why, goodgate status says.',
  ],
  examples: [
    ['goodgate work --root /volumes --root /work', 'take clips that lie there until stopped'],
    ['goodgate work --between 20:00-07:00', 'at night, by local time'],
    ['goodgate work --until-empty', 'end when nothing is left to do here'],
    ['goodgate work --listen 127.0.0.1:9464', 'and serve its figures and its health there'],
    ['goodgate work --until-empty --json', 'and print what it did for a program'],
  ],
  exits: {
    0: 'every batch is done (--until-empty)',
    3: 'a batch stays undone, which is told (--until-empty), or the work could not be done',
    130: true,
  },
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
    .option('--until-empty', 'end when no batch has anything left to do here')
    .option(
      '--listen <address>',
      'serve figures and health over HTTP, such as 127.0.0.1:9464',
      parseListenAddress,
    )
    .addOption(notifyCommandOption())
    .addOption(notifyUrlOption())
    .addOption(logLevelOption('info'))
    .option('--json', 'print { done, failed, undone } as one document when it ends')
    .action(async (options: Options) => {
      const environment = readEnvironment();
      const level = options.logLevel;
      const notify = noticeTo(options);
      const interrupt = interruptSignal(() => say('stopping: running clips go back to the queue ...'));
      // A terminal shows lines for people, so the JSON goes to a file.
      const logFile = process.stderr.isTTY ? join(environment.stateFolder, 'work.log') : undefined;
      const { log, flush } = startLogging({ level, file: logFile });
      if (logFile !== undefined) say(`log: ${visible(logFile)}`);
      const stop = interrupt.signal;
      const roots = (options.root.length === 0 ? ['.'] : options.root).map((root) => resolve(root));
      const { tools, stateFolder } = environment;
      const capabilities = await askCapabilities({ tools, cacheFolder: stateFolder });
      const site: Site = {
        capabilities,
        version: goodgateVersion(),
        roots,
        tools,
        probed: new ProbedOutputs(),
      };
      const software = softwareOf(site);
      const seen: SeenWorker = { software, stop, works: null };
      const outside = options.listen === undefined ? null : await listenForWorker(options.listen, seen);
      if (outside !== null && process.stderr.isTTY) say(`figures: ${outside.url}/metrics`);
      const undecodable = await askUndecodable(tools);
      const queue = await openQueue(environment, options.redis);
      const { redis, server } = queue;
      const logOf = batchLogs(level);
      const learns = learner({ stateFolder, redis: server.kind === 'named' ? redis : null, log });
      const onlooker = onlookers([learns, outside?.figures]);
      const done = new WorkDone();
      const concurrency = options.concurrency ?? defaultWorkers();
      const parts = shareParts({ redis, site, concurrency, stop, log });
      await unlessStopped(trimBatches(redis), stop);
      const remembered = keepRemembered({ stateFolder, server, redis, log });
      await unlessStopped(remembered.look(), stop);
      const batches = workBatches({
        ...{ redis, stop, log, isOpen: () => parts.places.isOpen },
        worker: { site, software, undecodable, plans: new KnownPlans() },
        sourcesOf(entry, onEnd, others) {
          void rememberBatch(stateFolder, entry.out, server);
          const { clips, reports } = batchQueues(entry.id);
          const { places, elsewhere } = parts;
          const logFor = (data: ClipJobData): Log => logOf(data.out);
          return [
            clipSource({
              ...{ redis, queue: clips, site, places, elsewhere, stop, log, logFor, others },
              ...{ onlooker, onEnd: done.counting(outside?.telling('clip', onEnd) ?? onEnd) },
            }),
            reportSource({
              ...{ redis, queue: reports, site, log, stop },
              onEnd: outside?.telling('report', onEnd) ?? onEnd,
              async onReport({ out, run }, batch) {
                await giveNotice(out, run, batch, notify, { log: logOf(out), signal: stop });
              },
            }),
          ];
        },
        restore: (lost) => restoreLost(lost, redis),
      });
      seen.works = { redis, batches, places: parts.places };
      const at = outside === null ? {} : { listens: outside.url };
      log.info({ server: describeServer(server), concurrency, roots, ...at }, 'worker ready');
      const leave = tellOfServer(redis, log);
      try {
        while (!stop.aborted) {
          const open = options.between === undefined || isOpen(options.between, new Date());
          if (open !== parts.places.isOpen) {
            // Running clips finish; no new one is taken, nor a part of another worker's.
            parts.places.isOpen = open;
            const told = open ? 'the working hours began' : 'outside the working hours: no new clip is taken';
            log.info({}, told);
          }
          const left = options.untilEmpty ? await unlessStopped(batches.left(), stop) : null;
          if (left) {
            process.exitCode = done.tellUndone(left);
            break;
          }
          await pause(LOOK_EVERY_MS, stop);
        }
      } finally {
        leave();
        remembered.close();
        const close = async (): Promise<void> => {
          // A clip may wait for parts of itself that are measured here.
          await batches.close().catch(() => undefined);
          await Promise.allSettled([parts.close(), learns.settled()]);
          await outside?.close();
          await queue.close();
        };
        // A server that is gone takes no goodbye. What is held by a lock goes back to the queue when that
        // runs out.
        const closing = close();
        while (!(await endsWithin(LEAVE_MS, closing))) {
          // A report that is being written is waited for while the server is there.
          if (redis.status === 'ready') continue;
          warn(
            'the queue does not answer: left without telling it; clips in hand go back when their locks run out',
          );
          flush();
          process.exit(process.exitCode ?? 0);
        }
        flush();
        if (options.json) printJson(done.document);
        interrupt.dispose();
      }
    });
}

/** Whether a batch that the server lost has not ended; it is then put back. */
async function restoreLost({ id, run, out }: BatchEntry, redis: Redis): Promise<boolean> {
  const submission = await unfinishedIn(out);
  if (submission === null || submission.batch !== id || submission.run !== run) return false;
  await restoreBatch(out, submission, redis);
  return true;
}
