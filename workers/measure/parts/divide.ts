import { isIntra } from '../../../jobs/codecs/codec-traits.js';
import type { Colour } from '../../../jobs/manifest/colour.js';
import type { ClipFacts, VideoFacts } from '../../../jobs/manifest/facts.js';
import { parseRational, type Rational } from '../../../signal/rational.js';
import { type PicturePlan, picturePlan } from '../picture/plan/picture-plan.js';
import { frameStudies } from '../picture/recording/studies.js';
import { SEEKABLE } from '../reading/frame-stamp.js';
import { MOST_BYTES, partsInMemory } from './part-memory.js';
import { type PartRange, splitFrames } from './part-ranges.js';

/** How a file is divided into parts. */
export interface Division {
  readonly video: VideoFacts;
  /** Frames a second, the same throughout. */
  readonly rate: Rational;
  readonly ranges: readonly PartRange[];
}

/** Why a file is measured in one go. */
export interface Undivided {
  readonly reason: string;
}

export function isUndivided(answer: object): answer is Undivided {
  return 'reason' in answer;
}

/** Where parts of a file may be measured at the same time. */
export interface PartPlaces {
  /** Slots on this machine, including this process; limited by memory. */
  readonly here: number;
  /** Idle slots on other machines. */
  readonly elsewhere: number;
}

/** Machines differ in speed: one that finishes early takes another part. */
const PARTS_A_PLACE = 2;
const MOST_HERE = 8;
const MOST_PARTS = 64;

/**
 * Divides a file into parts for the available slots, none shorter than `leastFrames`.
 *
 * @param colour as for measuring: the memory of studies may depend on it
 */
export function divideFile(
  { container, video }: Pick<ClipFacts, 'container' | 'video'>,
  colour: Colour | null,
  { here, elsewhere, leastFrames }: PartPlaces & { readonly leastFrames: number },
): Division | Undivided {
  if (video === null) return { reason: 'there is no picture' };
  const rate = parseRational(video.frameRate ?? '');
  if (rate === null || rate.num <= 0) return { reason: 'the frame rate is unknown' };
  if (video.constantRate === false) return { reason: 'the frame rate varies' };
  if (!SEEKABLE.test(container.format)) return { reason: `no index in ${container.format}` };
  if (!isIntra(video.codec)) {
    return { reason: `pictures of ${video.codec} may build on one another` };
  }
  if (video.frames === null) return { reason: 'the number of frames is unknown' };
  const plan = picturePlan(video, colour);
  if ('unknown' in plan) return { reason: 'the picture is not measured' };
  const atOnce = Math.min(here, MOST_HERE, partsInMemory(plan));
  if (atOnce + elsewhere < 2) return { reason: `a second part would not stay within ${MOST_BYTES / 1e6} MB` };
  const wanted = elsewhere > 0 ? PARTS_A_PLACE * (atOnce + elsewhere) : atOnce;
  const parts = Math.min(wanted, MOST_PARTS, Math.floor(video.frames / leastFrames));
  if (parts < 2) return { reason: `${video.frames} frames are too few for parts` };
  return { video, rate, ranges: splitFrames(video.frames, parts, studyMemory(plan, rate)) };
}

/**
 * How many previous frames the figures of a frame may depend on; null where the picture cannot be measured.
 */
export function pictureMemory(video: VideoFacts, colour: Colour | null, rate: Rational): number | null {
  const plan = picturePlan(video, colour);
  return 'unknown' in plan ? null : studyMemory(plan, rate);
}

function studyMemory(plan: PicturePlan, rate: Rational): number {
  const memories = frameStudies(plan, rate).map(({ study }) => study.memory);
  // A frame is compared with the previous one: one more, so that the first remembered frame has a previous
  // one too.
  return Math.max(0, ...memories) + 1;
}
