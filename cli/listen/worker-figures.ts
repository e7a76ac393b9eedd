import { Counter, collectDefaultMetrics, Gauge, Histogram, Registry } from 'prom-client';
import { ERROR_CODES } from '../../jobs/errors.js';
import { countVerdicts } from '../../jobs/plan/batch.js';
import type { ClipJobData, ClipProgress } from '../../jobs/queue/messages.js';
import type { ClipDone } from '../../workers/handle-clip.js';
import type { Onlooker } from '../../workers/queue/onlooker.js';
import type { JobEnd } from '../../workers/queue/take-jobs.js';
import { STAGES } from '../../workers/stage-times.js';
import { type QueueCounts, QueueFigures } from './queue-figures.js';

/** Seconds a clip may take, as the steps of a histogram: from a short proxy to a long master. */
const CLIP_SECONDS = [1, 3, 10, 30, 100, 300, 1_000, 3_000, 10_000, 30_000];
const HAND_STAGES = ['decode', 'measure', 'judge', 'again'] as const satisfies ClipProgress['stage'][];
/** How a worker's own hold on a job ended; a cancelled one is told apart from a failed one. */
const ENDS = ['done', 'failed', 'cancelled', 'again', 'back', 'cannot'] as const;
type End = (typeof ENDS)[number];
const OTHER = 'other';

/** What the worker knows of itself when it is asked. */
export interface WorkerState {
  readonly takesClips: boolean;
  readonly isOpen: boolean;
  readonly places: number;
}

export interface FiguresOptions {
  readonly software: { readonly goodgate: string; readonly ffmpeg: string };
  readonly state: () => WorkerState;
  /** Null: the queue does not answer. */
  readonly countQueue: () => Promise<QueueCounts | null>;
}

/**
 * Figures of one worker and of the queue it takes from, for a monitoring server. Labels hold words of short
 * lists alone: no name, path, batch, address or message, so that neither number nor content of the series
 * depends on what is worked on.
 */
export class WorkerFigures implements Onlooker {
  readonly #registry = new Registry();
  readonly #inHand = new Map<string, ClipProgress['stage']>();
  readonly #queue: QueueFigures;
  readonly #made = this.#makeAll();

  constructor({ software, state, countQueue }: FiguresOptions) {
    const registers = [this.#registry];
    this.#collectProcess();
    this.#queue = new QueueFigures(this.#registry, countQueue);
    new Gauge({
      ...{ name: 'goodgate_worker_info', help: 'What this worker is; always 1', registers },
      labelNames: ['goodgate', 'ffmpeg'],
    }).set({ goodgate: software.goodgate, ffmpeg: software.ffmpeg }, 1);
    const asked = (name: string, help: string, value: (state: WorkerState) => number): void => {
      new Gauge({
        ...{ name, help, registers },
        collect() {
          this.set(value(state()));
        },
      });
    };
    asked('goodgate_worker_up', '1: it takes clips; 0: it stands aside after failures', (of) =>
      of.takesClips ? 1 : 0,
    );
    asked('goodgate_worker_open', '1 within its working hours', ({ isOpen }) => (isOpen ? 1 : 0));
    asked('goodgate_worker_places', 'Clips it works on at once', ({ places }) => places);
  }

  /** Text for a monitoring server, and its media type. */
  async text(): Promise<{ readonly type: string; readonly text: string }> {
    await this.#queue.ask();
    this.#made.inHand.reset();
    for (const stage of HAND_STAGES) this.#made.inHand.set({ stage }, 0);
    for (const stage of this.#inHand.values()) this.#made.inHand.inc({ stage });
    return { type: this.#registry.contentType, text: await this.#registry.metrics() };
  }

  stage(job: string, stage: ClipProgress['stage'] | null): void {
    if (stage === null) this.#inHand.delete(job);
    else this.#inHand.set(job, stage);
  }

  done({ job }: ClipJobData, { clip, times, made }: ClipDone): void {
    const { video, bytes } = job.clip.facts;
    for (const stage of STAGES) this.#made.stageSeconds.inc({ stage }, times.seconds[stage]);
    for (const [verdict, count] of Object.entries(countVerdicts(clip)))
      this.#made.verdicts.inc({ verdict }, count);
    if (clip.wasThere) return;
    this.#made.clipSeconds.observe(clip.seconds ?? 0);
    const frames = video?.frames ?? 0;
    this.#made.megapixels.inc(
      { stage: 'decode' },
      (frames * (video?.width ?? 0) * (video?.height ?? 0)) / 1e6,
    );
    this.#made.bytes.inc({ direction: 'read' }, bytes);
    for (const { key, path, recipe } of job.outputs) {
      if (!made.includes(key)) continue;
      const pixels = frames * recipe.raster.width * recipe.raster.height;
      this.#made.megapixels.inc({ stage: 'measure' }, pixels / 1e6);
      const written = clip.items.find((item) => item.kind === 'output' && item.path === path)?.bytes ?? 0;
      this.#made.bytes.inc({ direction: 'written' }, written);
    }
  }

  /** A job left this worker's hands. */
  ended(kind: 'clip' | 'report', end: JobEnd): void {
    const code = 'why' in end ? codeOf(end.why) : null;
    const state: End = end.is === 'failed' && code === 'cancelled' ? 'cancelled' : end.is;
    this.#made.jobs.inc({ kind, state });
    // What was never tried here, or was cancelled, is no failure.
    const hasFailed =
      state === 'failed' || state === 'again' || (end.is === 'cannot' && end.hasFailed === true);
    if (code !== null && hasFailed) this.#made.failures.inc({ code });
  }

  /** Memory, processor time and open files; the engine's own figures say nothing of the work. */
  #collectProcess(): void {
    collectDefaultMetrics({ register: this.#registry });
    for (const { name } of this.#registry.getMetricsAsArray())
      if (name.startsWith('nodejs_')) this.#registry.removeSingleMetric(name);
  }

  #makeAll() {
    const registers = [this.#registry];
    const counter = <Label extends string>(name: string, help: string, labelNames: readonly Label[]) =>
      new Counter({ name, help, registers, labelNames });
    const made = {
      jobs: counter('goodgate_jobs_total', 'Jobs this worker had in hand, by how they left it', [
        'kind',
        'state',
      ]),
      failures: counter('goodgate_failures_total', 'Tries that failed, by the code of the error', ['code']),
      verdicts: counter('goodgate_verdicts_total', 'Verdicts on files of clips that are done', ['verdict']),
      stageSeconds: counter('goodgate_stage_seconds_total', 'Time by stage of clips that are done', [
        'stage',
      ]),
      megapixels: counter(
        'goodgate_megapixels_total',
        'Pixels of originals decoded and of outputs measured',
        ['stage'],
      ),
      bytes: counter('goodgate_bytes_total', 'Bytes of originals read and of outputs written', ['direction']),
      clipSeconds: new Histogram({
        ...{ name: 'goodgate_clip_seconds', help: 'Time of a clip from taken to judged', registers },
        buckets: CLIP_SECONDS,
      }),
      inHand: new Gauge({
        ...{ name: 'goodgate_clips_in_hand', help: 'Clips being worked on here, by stage', registers },
        labelNames: ['stage'],
      }),
    };
    // A series that begins with its first event hides that event from a rate.
    for (const kind of ['clip', 'report']) for (const state of ENDS) made.jobs.inc({ kind, state }, 0);
    for (const code of [...Object.keys(ERROR_CODES), OTHER]) made.failures.inc({ code }, 0);
    for (const verdict of ['pass', 'warn', 'fail']) made.verdicts.inc({ verdict }, 0);
    for (const stage of STAGES) made.stageSeconds.inc({ stage }, 0);
    for (const stage of ['decode', 'measure']) made.megapixels.inc({ stage }, 0);
    for (const direction of ['read', 'written']) made.bytes.inc({ direction }, 0);
    return made;
  }
}

/** The first code in a reason, which other words may stand before; without one it is `other`. */
function codeOf(why: string): string {
  return why.split(': ').find((part) => Object.hasOwn(ERROR_CODES, part)) ?? OTHER;
}
