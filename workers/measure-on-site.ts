import type { Colour } from '../jobs/manifest/colour.js';
import type { ClipFacts } from '../jobs/manifest/facts.js';
import type { Measurement } from '../jobs/measurement/measurement.js';
import type { ClipContext, Site } from './clip-context.js';
import { type SeenFrames, seenFrames } from './compare/order/seen-frames.js';
import { resultInLog } from './ffmpeg/result-in-log.js';
import { measureFile } from './measure/measure-file.js';
import type { KeepFrames } from './measure/reading/kept-frames.js';

export interface FileToMeasure {
  readonly path: string;
  /** Content key of the work it belongs to. */
  readonly key: string;
  /** Name for people, in the log. */
  readonly name: string;
  /** Facts of the file, when it was probed already. */
  readonly facts?: ClipFacts;
  /** What the code values mean; null: as the tags say. */
  readonly colour: Colour | null;
  /** Called with what is kept of its frames to compare copies; not where no picture was measured. */
  readonly onFrames?: ((frames: SeenFrames | null) => void) | undefined;
  /** Frames to write aside, to compare them. */
  readonly keep?: KeepFrames | undefined;
}

/**
 * Measures one file of a job, an original or an output, with what this machine has: in parts at once where
 * this worker or others are idle otherwise. Every ffmpeg that decodes it whole stands in the log.
 *
 * @param onProgress share of this file, 0..1
 * @throws GoodgateError as `measureFile`.
 */
export async function measureOnSite(
  { path, name, key, facts, colour, onFrames, keep }: FileToMeasure,
  site: Site,
  context: ClipContext,
  onProgress: (fraction: number) => void,
): Promise<Measurement> {
  return measureFile(path, {
    ...{ key, facts, colour, keep, onProgress },
    signal: context.signal,
    onFrameFigures: (figures) => onFrames?.(seenFrames(figures)),
    parallelism: await context.parallelism?.(),
    version: site.version,
    tools: site.tools,
    ffmpegVersion: site.capabilities.ffmpegVersion,
    onProbed: (found) => site.probed?.keep(key, found),
    onUndivided: (why) => context.log.debug({ clip: name, why }, 'measured in one go'),
    onEnded: (result) => context.log.info(resultInLog(result), 'ffmpeg ended'),
  });
}
