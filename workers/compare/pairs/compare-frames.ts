import { closeSync, openSync, readSync } from 'node:fs';
import type { PictureComparison } from '../../../jobs/measurement/measured-comparison.js';
import { MistakeFinder } from '../mistakes/find-mistake.js';
import { type FrameForm, type FramePlanes, frameBytes, planeNames, readPlanes } from './frame-planes.js';
import { addPlane, errorOf, noSums } from './plane-sums.js';

/** Raw frames in a file. */
export interface RawFrames {
  readonly form: FrameForm;
  readonly file: string;
  /** Numbers of the frames, in the order in which they lie. */
  readonly frames: readonly number[];
}

export interface FramesToCompare {
  readonly original: RawFrames;
  /** The frames that are compared, and frames beside them. */
  readonly copy: RawFrames;
  /** Numbers of the frames that are compared. */
  readonly frames: readonly number[];
  /** Bits of the original, at whose scale errors are told. */
  readonly depth: number;
}

export type ComparedFrames = Pick<PictureComparison, 'frames' | 'depth' | 'bitsKept' | 'planes' | 'mistake'>;

/** Below this RMS error, of the scale, no mistake is looked for: half a 10-bit code. */
const LEAST_ERROR = 0.0005;

/**
 * Compares frames plane by plane, every sample of them, and looks for the mistake behind a difference. Reads
 * files and blocks: for a thread. Throws RangeError where a file is too short.
 */
export function compareFrames({ original, copy, frames, depth }: FramesToCompare): ComparedFrames {
  const names = planeNames(copy.form.layout.model);
  const sums = names.map(noSums);
  const { model } = copy.form.layout;
  const finder = new MistakeFinder({ model, range: copy.form.range, depth });
  for (const frame of frames) {
    const had = readFrame(original, frame, depth);
    const is = readFrame(copy, frame, depth);
    if (had === null || is === null) throw new RangeError(`frame ${frame} was not taken`);
    for (const [index, sum] of sums.entries()) {
      const [a, b] = [had[index], is[index]];
      if (a !== undefined && b !== undefined) addPlane(sum, a, b, frame);
    }
    finder.see({
      ...{ original: had, copy: is },
      before: readFrame(copy, frame - 1, depth),
      after: readFrame(copy, frame + 1, depth),
    });
  }
  const planes = sums.map((sum, index) => errorOf(names[index] ?? 'Y', sum, depth));
  const isDifferent = planes.some(({ rmsError }) => rmsError >= LEAST_ERROR * 2 ** depth);
  return {
    ...{ frames: [...frames], depth, planes },
    bitsKept: Math.min(...planes.map((plane) => plane.bitsKept)),
    mistake: isDifferent ? finder.find() : null,
  };
}

/** Null where this frame is not among those that were taken. */
function readFrame(
  { form, file: path, frames }: RawFrames,
  frame: number,
  depth: number,
): FramePlanes | null {
  const index = frames.indexOf(frame);
  if (index < 0) return null;
  const bytes = new Uint8Array(frameBytes(form));
  const file = openSync(path, 'r');
  try {
    let filled = 0;
    const from = index * bytes.length;
    while (filled < bytes.length) {
      const got = readSync(file, bytes, filled, bytes.length - filled, from + filled);
      if (got === 0) throw new RangeError(`frame ${frame} is not whole`);
      filled += got;
    }
  } finally {
    closeSync(file);
  }
  return readPlanes(bytes, form, depth);
}
