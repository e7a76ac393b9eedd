import type { Colour } from '../../../jobs/manifest/colour.js';
import type { ClipFacts } from '../../../jobs/manifest/facts.js';
import type { Tools } from '../../ffmpeg/tools.js';
import { openPictureTap } from '../reading/picture-tap.js';
import type { Division } from './divide.js';
import type { FrameNumbering, MeasuredPart } from './part-doubt.js';
import type { PartRange } from './part-ranges.js';
import { runPart } from './run-part.js';
import { together } from './together.js';

/** A file whose picture is measured in parts. */
export interface PartsWork {
  readonly path: string;
  readonly facts: Pick<ClipFacts, 'bytes' | 'modified'>;
  readonly colour: Colour | null;
  readonly division: Division;
  readonly numbering: FrameNumbering;
  readonly signal: AbortSignal;
  /** Programs to start; by default those of the PATH. */
  readonly tools?: Tools | undefined;
  /** Frames of a part decoded so far, including its lead-in. */
  readonly onFrames: (part: number, frames: number) => void;
}

/**
 * Has all parts measured, in order. When it ends, well or not, nothing of it works any more in this process.
 *
 * Throws PartsDoubt where the parts are not certainly the whole; GoodgateError as `measureInParts`.
 */
export type PartsRunner = (work: PartsWork) => Promise<readonly MeasuredPart[]>;

/** Measures all parts in parallel in this process. */
export const measurePartsHere: PartsRunner = async (work) => {
  const { ranges } = work.division;
  const last = ranges.length - 1;
  return together<readonly MeasuredPart[]>(
    work.signal,
    ranges.map(
      (range, part) => (signal: AbortSignal) =>
        measurePart({ ...work, video: work.division.video, range, isLast: part === last, signal }, (frames) =>
          work.onFrames(part, frames),
        ),
    ),
  );
};

export interface PartWork
  extends Pick<PartsWork, 'path' | 'colour' | 'numbering' | 'signal' | 'tools'>,
    Pick<Division, 'video'> {
  readonly range: PartRange;
  readonly isLast: boolean;
}

/** Decodes and measures one part. Throws PartsDoubt; GoodgateError `missing-tool`, `measure-failed`. */
export async function measurePart(work: PartWork, onFrames: (frames: number) => void): Promise<MeasuredPart> {
  const { video, colour, range, isLast, numbering } = work;
  const { from, to, lead } = range;
  const tap = await openPictureTap({
    ...{ video, colour, input: 0, onFrames },
    frames: { first: from - lead, lead, count: isLast ? null : to - from + lead },
  });
  try {
    return await runPart(tap, range, isLast, numbering, work);
  } finally {
    await tap.close();
  }
}
