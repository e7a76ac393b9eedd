import { GoodgateError } from '../../jobs/errors.js';
import type { Colour } from '../../jobs/manifest/colour.js';
import type { ClipFacts } from '../../jobs/manifest/facts.js';
import type { Layer } from '../../jobs/measurement/measured-container.js';
import { type MeasuredFigures, type Measurement, measurementOf } from '../../jobs/measurement/measurement.js';
import { readVersion } from '../capabilities/read-lists.js';
import type { FfmpegResult } from '../ffmpeg/command.js';
import { faultError, ffmpegFault, isFault } from '../ffmpeg/fault.js';
import { queryFfmpeg, runFfmpeg } from '../ffmpeg/run-ffmpeg.js';
import { soundDecoding } from '../ffmpeg/sound-decoding.js';
import type { Tools } from '../ffmpeg/tools.js';
import { type FileState, requireSameState, whileUnchanged } from '../file/file-state.js';
import { type Asked, nothingAsked } from '../probe/asked.js';
import { probeWithBitstream } from '../probe/probe-clip.js';
import { requireTrueEnd } from './decoding/silent-end.js';
import type { FrameFigures } from './figures/frame-table.js';
import { isUndivided } from './parts/divide.js';
import { isParallel, measureDivided, type Parallelism } from './parts/measure-divided.js';
import type { KeepFrames } from './reading/kept-frames.js';
import { interrupted, openMeasureTap } from './reading/open-tap.js';
import type { TapOptions } from './reading/tap.js';

export interface MeasureOptions {
  /** Facts of the file, if it was probed already. */
  readonly facts?: ClipFacts | undefined;
  /** What its bitstream alone declares, if that was read with the facts. */
  readonly bitstream?: Layer | null | undefined;
  /** What ffprobe was asked for those facts. */
  readonly asked?: Asked | undefined;
  /** Called with the facts, where it was probed here. */
  readonly onProbed?: ((facts: ClipFacts) => void) | undefined;
  /** Colour of the picture; absent or null: as declared by the tags of the file. */
  readonly colour?: Colour | null | undefined;
  readonly signal?: AbortSignal | undefined;
  /**
   * Every figure of every frame, once all are measured: for tables. Not called where no picture was measured.
   */
  readonly onFrameFigures?: ((figures: FrameFigures) => void) | undefined;
  /** Frames to write aside as they are decoded; not where parts are measured. */
  readonly keep?: KeepFrames | undefined;
  /**
   * Where parts of it may be measured in parallel, if that is faster and gives the identical measurement;
   * default: nowhere.
   */
  readonly parallelism?: Parallelism | undefined;
  /** Called with the reason why a file is measured in one go although parts were allowed. */
  readonly onUndivided?: ((why: string) => void) | undefined;
  /**
   * Called with the result of the ffmpeg that decoded the whole file; not called where parts were measured.
   */
  readonly onEnded?: ((result: FfmpegResult) => void) | undefined;
  /** Content key for the measurement; default null. */
  readonly key?: string | undefined;
  /** Milliseconds without a line or a frame after which ffmpeg counts as hung; default 120,000. */
  readonly stallMs?: number | undefined;
  /** Share done, 0..1. */
  readonly onProgress?: ((fraction: number) => void) | undefined;
  /** Version of goodgate, for the measurement's `method`. */
  readonly version?: string | undefined;
  /** Programs to start; by default those of the PATH. */
  readonly tools?: Tools | undefined;
  /** Version of that ffmpeg, if known already. */
  readonly ffmpegVersion?: string | undefined;
}

const STALL_MS = 120_000;

/** Most attempts at decoding a file; one where nothing fails. */
const MOST_RUNS = 3;

/**
 * Decodes a file and measures every frame and sample of it. Damage is a figure of the result, not an error.
 * Where ffmpeg itself fails it is run again; an error about the file counts only when it occurs twice.
 *
 * Throws GoodgateError: those of `probeClip` for files that cannot be read at all, `file-changed`,
 * `ffmpeg-failed` and `ffmpeg-timeout` when ffmpeg fails again, `measure-failed` when the machinery fails,
 * `interrupted` when the signal fires, `missing-tool` without ffmpeg.
 */
export async function measureFile(path: string, options: MeasureOptions = {}): Promise<Measurement> {
  const { result, file } = await whileUnchanged(path, (found) => figuresOf(path, found, options));
  return measurementOf({ path, ...file }, options.key ?? null, result);
}

async function figuresOf(path: string, found: FileState, options: MeasureOptions): Promise<MeasuredFigures> {
  const { signal, tools } = options;
  const asked = options.asked ?? nothingAsked();
  const [{ facts, bitstream }, ffmpeg] = await Promise.all([
    options.facts === undefined
      ? probeWithBitstream(path, { signal, tools, asked })
      : { facts: options.facts, bitstream: options.bitstream },
    options.ffmpegVersion ?? versionOf(tools),
  ]);
  if (options.facts === undefined) options.onProbed?.(facts);
  requireSameState(path, facts, found);
  const tapped: TapOptions = {
    ...{ path, facts, bitstream, signal, tools, asked },
    colour: options.colour ?? null,
    onFrameFigures: options.onFrameFigures,
    keep: options.keep,
    method: { ffmpeg, goodgate: options.version ?? 'unknown' },
  };
  if (options.parallelism !== undefined && isParallel(options.parallelism)) {
    const answer = await measureDivided(options.parallelism, { ...tapped, onProgress: options.onProgress });
    if (!isUndivided(answer)) return answer;
    options.onUndivided?.(answer.reason);
  }
  let complaints = 0;
  for (let run = 1; ; run++) {
    const { figures, failure, blamesFile } = await decode(tapped, options);
    if (failure === null) return figures;
    if (blamesFile) complaints++;
    if (figures !== null && complaints === 2) return figures;
    if (run === MOST_RUNS || (run === 2 && complaints === 0)) throw failure;
  }
}

/** Result of decoding a file once. */
type Decoding =
  | { readonly figures: MeasuredFigures; readonly failure: null; readonly blamesFile: false }
  | {
      /** Result of a run that ended with an error about the file. */
      readonly figures: MeasuredFigures | null;
      readonly failure: GoodgateError;
      readonly blamesFile: boolean;
    };

async function decode(tapped: TapOptions, options: MeasureOptions): Promise<Decoding> {
  const { path, facts, signal, tools } = tapped;
  const seconds = facts.container.durationSeconds ?? facts.video?.durationSeconds ?? null;
  const tap = await openMeasureTap(tapped);
  try {
    const result = await runFfmpeg(
      // The samples as they are stored: turning the picture upright is for whoever looks at it.
      {
        inputs: [
          {
            ...{ path, rate: facts.video?.frameRate },
            options: ['-noautorotate', ...soundDecoding(facts.audio)],
          },
        ],
        outputs: tap.outputs,
      },
      {
        signal,
        tools,
        stallTimeoutMs: options.stallMs ?? STALL_MS,
        onLine: (line) => tap.onLine(line),
        onProgress: ({ seconds: at }) => {
          if (seconds !== null && seconds > 0) options.onProgress?.(Math.min(Math.max(at / seconds, 0), 1));
        },
      },
    );
    options.onEnded?.(result);
    if (result.killedBy === 'abort') throw interrupted(path);
    const fault = ffmpegFault(result);
    if (fault === null) {
      const figures = await tap.finish(result);
      await requireTrueEnd(path, figures, facts, { signal, tools });
      options.onProgress?.(1);
      return { figures, failure: null, blamesFile: false };
    }
    const { blamesFile } = fault;
    const failure = faultError('ffmpeg', fault, path);
    return { figures: blamesFile ? await tap.finish(result) : null, failure, blamesFile };
  } catch (failure) {
    // Another of its programs failed, beside the decoding.
    if (failure instanceof GoodgateError && isFault(failure)) {
      return { figures: null, failure, blamesFile: false };
    }
    throw failure;
  } finally {
    await tap.abandon();
  }
}

async function versionOf(tools: Tools | undefined): Promise<string> {
  return readVersion(await queryFfmpeg(['-version'], tools)) ?? 'unknown';
}
