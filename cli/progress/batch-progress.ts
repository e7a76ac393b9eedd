import { MultiBar, type SingleBar } from 'cli-progress';
import type { Plan } from '../../jobs/plan/plan.js';
import { count } from '../../jobs/words/numbers.js';
import { visible } from '../../jobs/words/plain-text.js';
import { progressPercent } from '../../jobs/words/quantities.js';
import { estimate } from '../../jobs/words/times.js';
import { isQuiet } from '../print.js';
import type { ClipChange } from '../run/follow-batch.js';
import { PACE_MS } from './pace.js';

/** How far a batch is, from what each clip has reported, weighed by what each was estimated to take. */
export class BatchClock {
  readonly #weights: ReadonlyMap<string, number>;
  readonly #fractions = new Map<string, number>();
  readonly #started = performance.now();

  constructor(weights: ReadonlyMap<string, number>) {
    this.#weights = weights;
  }

  set(queueId: string, fraction: number): void {
    this.#fractions.set(queueId, fraction);
  }

  /** 0..1 */
  fraction(): number {
    let done = 0;
    let all = 0;
    for (const [id, weight] of this.#weights) {
      all += weight;
      done += weight * (this.#fractions.get(id) ?? 0);
    }
    return all === 0 ? 1 : done / all;
  }

  /** Seconds to the end at the pace so far; null before there is a pace. */
  secondsLeft(): number | null {
    const fraction = this.fraction();
    const elapsed = (performance.now() - this.#started) / 1000;
    return fraction < 0.02 || elapsed < 1 ? null : (elapsed * (1 - fraction)) / fraction;
  }
}

export interface BatchProgress {
  change(change: ClipChange): void;
  stop(): void;
}

interface Screen {
  clip(name: string, fraction: number, detail: string): void;
  clipEnded(name: string, how: string): void;
  batch(fraction: number, note: string): void;
  /** A stage that has no fraction, told at once. */
  stage(note: string): void;
  stop(): void;
}

/** The hour first: it is what a person asks for, and the last to be cut off. */
function endWords(left: number | null): string {
  if (left === null) return 'end not known yet';
  const end = new Date(Date.now() + left * 1000);
  return `done at ${end.toTimeString().slice(0, 5)}, about ${estimate(left)} left`;
}

/** Text in so many columns; of what is too long the end is kept, which tells clips of one card apart. */
function inRoom(text: string, room: number): string {
  const plain = Array.from(visible(text));
  const cut = plain.length > room ? `…${plain.slice(1 - room).join('')}` : plain.join('');
  return cut + ' '.repeat(Math.max(0, room - plain.length));
}

const BAR = 14;
/** Bar, percentage and the blanks between them and the name. */
const BEFORE_NAME = BAR + ' 100% '.length;
const BATCH = 'batch';

/** Bars on a terminal: one for the batch, one for each clip being worked on. */
function terminalScreen(stream: NodeJS.WriteStream): Screen {
  const width = Math.max(40, Math.min(stream.columns ?? 80, 120));
  const nameWidth = Math.min(28, Math.floor(width / 3));
  const bars = new MultiBar(
    {
      stream,
      format: '{bar} {percentage}% {name} {note}',
      barCompleteChar: '#',
      barIncompleteChar: '.',
      barsize: BAR,
      hideCursor: true,
      clearOnComplete: true,
      linewrap: false,
      fps: 5,
      emptyOnZero: true,
      autopadding: true,
    },
    undefined,
  );
  const noteAfter = (name: number, note: string) =>
    Array.from(visible(note))
      .slice(0, Math.max(10, width - BEFORE_NAME - name - 1))
      .join('');
  const batch = bars.create(1000, 0, { name: BATCH, note: '' });
  const running = new Map<string, SingleBar>();
  let isStopped = false;
  return {
    clip(name, fraction, detail) {
      if (isStopped) return;
      let bar = running.get(name);
      if (bar === undefined) {
        bar = bars.create(1000, 0, { name: inRoom(name, nameWidth), note: '' });
        running.set(name, bar);
      }
      bar.update(Math.round(fraction * 1000), { note: noteAfter(nameWidth, detail) });
    },
    clipEnded(name, how) {
      const bar = running.get(name);
      if (bar !== undefined) bars.remove(bar);
      running.delete(name);
      if (how !== 'done' && !isStopped) bars.log(`${visible(name)}: ${visible(how)}\n`);
    },
    batch(fraction, note) {
      if (!isStopped) batch.update(Math.floor(fraction * 1000), { note: noteAfter(BATCH.length, note) });
    },
    stage(note) {
      if (!isStopped) batch.update({ note: noteAfter(BATCH.length, note) });
    },
    stop() {
      isStopped = true;
      bars.stop();
    },
  };
}

/** Lines for a log file or a pipe: every clip when it ends, and the batch now and then. */
function lineScreen(stream: NodeJS.WriteStream): Screen {
  let last = performance.now();
  let isStopped = false;
  const line = (text: string) => {
    if (!isStopped) stream.write(`${text}\n`);
  };
  return {
    clip: () => undefined,
    clipEnded: (name, how) => line(`${visible(name)}: ${visible(how)}`),
    batch(fraction, note) {
      if (performance.now() - last < PACE_MS) return;
      last = performance.now();
      line(`${progressPercent(fraction)}: ${note}`);
    },
    stage: line,
    stop() {
      isStopped = true;
    },
  };
}

const SILENT: Screen = {
  clip: () => undefined,
  clipEnded: () => undefined,
  batch: () => undefined,
  stage: () => undefined,
  stop: () => undefined,
};

function screenFor(stream: NodeJS.WriteStream): Screen {
  if (isQuiet()) return SILENT;
  return stream.isTTY ? terminalScreen(stream) : lineScreen(stream);
}

/**
 * Progress of a batch on stderr, fitting the kind of stderr there is. When `signal` aborts nothing more is
 * drawn: what is said then stays where a person reads it.
 */
export function batchProgress(
  plan: Plan,
  queueIdOf: (job: string) => string,
  { stream = process.stderr, signal }: { stream?: NodeJS.WriteStream; signal?: AbortSignal } = {},
): BatchProgress {
  const names = new Map(plan.jobs.map((job) => [queueIdOf(job.id), job.clip.name]));
  const clock = new BatchClock(
    new Map(plan.jobs.map((job) => [queueIdOf(job.id), Math.max(0.1, job.estimate.seconds)])),
  );
  const screen = screenFor(stream);
  signal?.addEventListener('abort', () => screen.stop(), { once: true });
  const ended = new Set<string>();
  return {
    change(change) {
      const name = names.get(change.queueId);
      if (name === undefined || ended.has(change.queueId)) return;
      if (change.kind === 'progress') {
        clock.set(change.queueId, change.progress.fraction);
        screen.clip(name, change.progress.fraction, `${change.progress.stage} ${change.progress.detail}`);
      } else if (change.kind === 'started') {
        screen.clip(name, 0, 'starting');
      } else if (change.kind === 'retrying') {
        clock.set(change.queueId, 0);
        screen.clipEnded(name, 'did not work; will be tried again');
      } else {
        ended.add(change.queueId);
        clock.set(change.queueId, 1);
        screen.clipEnded(name, change.kind === 'done' ? 'done' : `failed: ${change.reason}`);
      }
      const done = `${ended.size} of ${count(names.size, 'clip')}`;
      if (ended.size === names.size) screen.stage(`${done} done; writing stills and report`);
      else screen.batch(clock.fraction(), `${done}, ${endWords(clock.secondsLeft())}`);
    },
    stop: () => screen.stop(),
  };
}
