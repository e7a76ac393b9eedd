import type { Colour } from '../../jobs/manifest/colour.js';
import type { ClipFacts } from '../../jobs/manifest/facts.js';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import { readVersion } from '../capabilities/read-lists.js';
import type { FfmpegResult } from '../ffmpeg/command.js';
import { askFfmpeg, runFfmpeg } from '../ffmpeg/run-ffmpeg.js';
import { soundDecoding } from '../ffmpeg/sound-decoding.js';
import { probeClip } from '../probe/probe-clip.js';
import type { FrameFigures } from './figures/frame-table.js';
import { isUndivided } from './parts/divide.js';
import { isParallel, measureDivided, type Parallelism } from './parts/measure-divided.js';
import { interrupted, openMeasureTap } from './reading/open-tap.js';
import type { TapOptions } from './reading/tap.js';

export interface MeasureOptions {
  /** Facts of the file, when it was probed already. */
  readonly facts?: ClipFacts | undefined;
  /** What the code values mean; absent or null: as the file's tags say. */
  readonly colour?: Colour | null | undefined;
  readonly signal?: AbortSignal | undefined;
  /** Every figure of every frame, once all are measured: for tables. Not called where no picture was measured. */
  readonly onFrameFigures?: ((figures: FrameFigures) => void) | undefined;
  /** Who may measure parts of it, where that is faster and gives the same measurement to the last bit; nobody when left out. */
  readonly parallelism?: Parallelism | undefined;
  /** Told why a file is measured in one go though parts were allowed. */
  readonly onUndivided?: ((why: string) => void) | undefined;
  /** Told of the ffmpeg that decoded the whole file, however it ended; not called where parts were measured. */
  readonly onEnded?: ((result: FfmpegResult) => void) | undefined;
  /** Share done, 0..1. */
  readonly onProgress?: ((fraction: number) => void) | undefined;
  /** Version of goodgate, for the measurement's `method`. */
  readonly version?: string | undefined;
  readonly ffmpegPath?: string | undefined;
  /** Version of that ffmpeg, when it was asked already. */
  readonly ffmpegVersion?: string | undefined;
  readonly ffprobePath?: string | undefined;
}

/** Without a line or a frame for this long ffmpeg is taken to hang. */
const STALL_MS = 120_000;

/**
 * Decodes a file once and measures every picture and sample of it. Damage is a figure of the result, not an error.
 *
 * Throws GoodgateError: those of `probeClip` for files that cannot be read at all, `measure-failed` when the machinery
 * fails, `interrupted` when the signal fires, `missing-tool` without ffmpeg.
 */
export async function measureFile(path: string, options: MeasureOptions = {}): Promise<Measurement> {
  const { signal, ffmpegPath, ffprobePath } = options;
  const [facts, ffmpeg] = await Promise.all([
    options.facts ?? probeClip(path, { signal, ffmpegPath, ffprobePath }),
    options.ffmpegVersion ?? versionOf(ffmpegPath),
  ]);
  const seconds = facts.container.durationSeconds ?? facts.video?.durationSeconds ?? null;
  const tapped: TapOptions = {
    ...{ path, facts, signal, ffmpegPath, ffprobePath },
    colour: options.colour ?? null,
    onFrameFigures: options.onFrameFigures,
    method: { ffmpeg, goodgate: options.version ?? 'unknown' },
  };
  if (options.parallelism !== undefined && isParallel(options.parallelism)) {
    const answer = await measureDivided(options.parallelism, { ...tapped, onProgress: options.onProgress });
    if (!isUndivided(answer)) return answer;
    options.onUndivided?.(answer.reason);
  }
  const tap = await openMeasureTap(tapped);
  try {
    const result = await runFfmpeg(
      // The samples as they are stored: turning the picture upright is for whoever looks at it.
      { inputs: [{ path, options: ['-noautorotate', ...soundDecoding(facts.audio)] }], outputs: tap.outputs },
      {
        signal,
        ffmpegPath,
        stallTimeoutMs: STALL_MS,
        onLine: (line) => tap.onLine(line),
        onProgress: ({ seconds: at }) => {
          if (seconds !== null && seconds > 0) options.onProgress?.(Math.min(Math.max(at / seconds, 0), 1));
        },
      },
    );
    options.onEnded?.(result);
    if (result.killedBy === 'abort') throw interrupted(path);
    const measurement = await tap.finish(result);
    options.onProgress?.(1);
    return measurement;
  } finally {
    await tap.abandon();
  }
}

async function versionOf(ffmpegPath: string | undefined): Promise<string> {
  return readVersion(await askFfmpeg(['-version'], ffmpegPath)) ?? 'unknown';
}
