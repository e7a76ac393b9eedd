import { isIntra } from '../../../jobs/codecs/codec-traits.js';
import type { VideoFacts } from '../../../jobs/manifest/facts.js';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { parseRational, type Rational } from '../../../signal/rational.js';
import { SEEKABLE } from '../../measure/reading/frame-stamp.js';

/**
 * How frames are fetched. Decoding from the start and counting is right for every file that decodes whole,
 * and takes as long as the file is; a frame far in is sought by its time stamp where that tells its number
 * for sure. Frames that can be had neither way within reason are in neither list.
 */
export interface FetchPlan {
  /** Frames decoded from the start, in one run. */
  readonly counted: readonly number[];
  /** Frames sought; all come after the counted ones. */
  readonly sought: readonly number[];
  /** Frames a second; null where nothing is sought. */
  readonly rate: Rational | null;
}

/** Up to here a file is decoded from the start: opening it once more and seeking take as long. */
const NEAR_SECONDS = 20;
/**
 * Where each picture is coded by itself a seek costs two pictures and a start of ffmpeg: as much as these.
 */
const NEAR_PIXELS = 16e6;
/** No picture is worth decoding more than this once again: some ten minutes of programme. */
const MOST_COUNTED = 15_000;

/** @param frames in rising order, each once */
export function planFetch(
  frames: readonly number[],
  { container, video }: Pick<Measurement, 'container' | 'video'>,
): FetchPlan {
  const rate = parseRational(video?.frameRate ?? '');
  // The measurement looked at the time stamp of every frame: with none out of place, a stamp is a number.
  if (video?.constantRate !== true || rate === null || !SEEKABLE.test(container.format)) {
    return countAll(frames);
  }
  const near = nearFrames(video, rate, NEAR_SECONDS);
  return {
    counted: frames.filter((frame) => frame < near),
    sought: frames.filter((frame) => frame >= near),
    rate,
  };
}

/**
 * Frames up to here are had sooner by decoding a file from its start than by seeking.
 *
 * @param seconds as far as that is so in a codec whose pictures depend on others
 */
export function nearFrames(
  { codec, width, height }: Pick<VideoFacts, 'codec' | 'width' | 'height'>,
  rate: Rational,
  seconds: number,
): number {
  const frames = Math.floor((seconds * rate.num) / rate.den);
  return isIntra(codec) ? Math.min(frames, Math.ceil(NEAR_PIXELS / (width * height))) : frames;
}

export function countAll(frames: readonly number[]): FetchPlan {
  return { counted: frames.filter((frame) => frame < MOST_COUNTED), sought: [], rate: null };
}
