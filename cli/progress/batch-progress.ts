import { MultiBar, type SingleBar } from 'cli-progress';
import type { Plan } from '../../jobs/plan/plan.js';
import { visible } from '../../jobs/words/plain-text.js';
import { progressPercent } from '../../jobs/words/quantities.js';
import { estimate } from '../../jobs/words/times.js';
import type { ClipChange } from '../run/follow-batch.js';

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
  batch(fraction: number, left: number | null, done: number, total: number): void;
  stop(): void;
}

function endWords(left: number | null): string {
  if (left === null) return 'end not known yet';
  const end = new Date(Date.now() + left * 1000);
  return `about ${estimate(left)} left, done at ${end.toTimeString().slice(0, 5)}`;
}

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
      barsize: 14,
      hideCursor: true,
      clearOnComplete: true,
      linewrap: false,
      fps: 5,
      emptyOnZero: true,
      autopadding: true,
    },
    undefined,
  );
  const toWidth = (text: string, room: number) => {
    const plain = visible(text);
    return Array.from(plain).length <= room
      ? plain.padEnd(room)
      : `${Array.from(plain)
          .slice(0, room - 1)
          .join('')}…`;
  };
  const noteWidth = Math.max(10, width - nameWidth - 24);
  const batch = bars.create(1000, 0, { name: toWidth('batch', nameWidth), note: '' });
  const running = new Map<string, SingleBar>();
  return {
    clip(name, fraction, detail) {
      let bar = running.get(name);
      if (bar === undefined) {
        bar = bars.create(1000, 0, { name: toWidth(name, nameWidth), note: '' });
        running.set(name, bar);
      }
      bar.update(Math.round(fraction * 1000), { note: toWidth(detail, noteWidth).trimEnd() });
    },
    clipEnded(name, how) {
      const bar = running.get(name);
      if (bar !== undefined) bars.remove(bar);
      running.delete(name);
      if (how !== 'done') bars.log(`${visible(name)}: ${visible(how)}\n`);
    },
    batch(fraction, left, done, total) {
      batch.update(Math.round(fraction * 1000), {
        note: toWidth(`${done}/${total}, ${endWords(left)}`, noteWidth).trimEnd(),
      });
    },
    stop() {
      bars.stop();
    },
  };
}

/** Lines for a log file or a pipe: every clip when it ends, and the batch now and then. */
function lineScreen(stream: NodeJS.WriteStream): Screen {
  let last = performance.now();
  return {
    clip: () => undefined,
    clipEnded(name, how) {
      stream.write(`${visible(name)}: ${visible(how)}\n`);
    },
    batch(fraction, left, done, total) {
      if (performance.now() - last < 10_000) return;
      last = performance.now();
      stream.write(`${done} of ${total} clips, ${progressPercent(fraction)}, ${endWords(left)}\n`);
    },
    stop: () => undefined,
  };
}

/** Progress of a batch on stderr, fitting the kind of stderr there is. */
export function batchProgress(
  plan: Plan,
  queueIdOf: (job: string) => string,
  stream = process.stderr,
): BatchProgress {
  const names = new Map(plan.jobs.map((job) => [queueIdOf(job.id), job.clip.name]));
  const clock = new BatchClock(
    new Map(plan.jobs.map((job) => [queueIdOf(job.id), Math.max(0.1, job.estimate.seconds)])),
  );
  const screen = stream.isTTY ? terminalScreen(stream) : lineScreen(stream);
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
      screen.batch(clock.fraction(), clock.secondsLeft(), ended.size, names.size);
    },
    stop: () => screen.stop(),
  };
}
