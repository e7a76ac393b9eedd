import { closeSync, openSync, readSync } from 'node:fs';
import type { PictureComparison } from '../../../jobs/measurement/measured-comparison.js';
import { MistakeFinder } from '../mistakes/find-mistake.js';
import { type FramePair, lightPlanes } from '../mistakes/mistake.js';
import {
  emptyPlanes,
  type FrameForm,
  type FramePlanes,
  fillPlanes,
  frameBytes,
  planeBytes,
  planeNames,
} from './frame-planes.js';
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
export function compareFrames(work: FramesToCompare): ComparedFrames {
  const { original, copy, depth } = work;
  // Of the frames beside it only the planes that carry light are looked at.
  const light = lightPlanes({ model: copy.form.layout.model }).length;
  const readers = {
    original: new FrameReader(original, depth),
    copy: new FrameReader(copy, depth),
    before: new FrameReader(copy, depth, light),
    after: new FrameReader(copy, depth, light),
  };
  try {
    return compareRead(work, readers);
  } finally {
    for (const reader of Object.values(readers)) reader.close();
  }
}

function compareRead(
  { copy, frames, depth }: FramesToCompare,
  readers: Readonly<Record<keyof FramePair, FrameReader>>,
): ComparedFrames {
  const names = planeNames(copy.form.layout.model);
  const sums = names.map(noSums);
  const { model, depth: copyDepth } = copy.form.layout;
  const finder = new MistakeFinder({ model, range: copy.form.range, depth, copyDepth });
  for (const frame of frames) {
    const had = readers.original.read(frame);
    const is = readers.copy.read(frame);
    if (had === null || is === null) throw new RangeError(`frame ${frame} was not taken`);
    for (const [index, sum] of sums.entries()) {
      const [a, b] = [had[index], is[index]];
      if (a !== undefined && b !== undefined) addPlane(sum, a, b, frame);
    }
    const [before, after] = [readers.before.read(frame - 1), readers.after.read(frame + 1)];
    finder.see({ original: had, copy: is, before, after });
  }
  const planes = sums.map((sum, index) => errorOf(names[index] ?? 'Y', sum, depth));
  const isDifferent = planes.some(({ rmsError }) => rmsError >= LEAST_ERROR * 2 ** depth);
  return {
    ...{ frames: [...frames], depth, planes },
    bitsKept: Math.min(...planes.map((plane) => plane.bitsKept)),
    mistake: isDifferent ? finder.find() : null,
  };
}

/** Reads frames of a file one at a time: a frame is there until the next is read. */
class FrameReader {
  readonly #file: number;
  readonly #planes: FramePlanes;
  readonly #bytes: Uint8Array;

  /** @param count of the first planes that are read; default: all */
  constructor(
    private readonly raw: RawFrames,
    private readonly depth: number,
    count?: number,
  ) {
    this.#planes = emptyPlanes(raw.form, count);
    this.#bytes = new Uint8Array(planeBytes(this.#planes, raw.form));
    this.#file = openSync(raw.file, 'r');
  }

  /** Null where this frame is not among those that were taken. */
  read(frame: number): FramePlanes | null {
    const index = this.raw.frames.indexOf(frame);
    if (index < 0) return null;
    const bytes = this.#bytes;
    const from = index * frameBytes(this.raw.form);
    let filled = 0;
    while (filled < bytes.length) {
      const got = readSync(this.#file, bytes, filled, bytes.length - filled, from + filled);
      if (got === 0) throw new RangeError(`frame ${frame} is not whole`);
      filled += got;
    }
    fillPlanes(this.#planes, bytes, this.raw.form, this.depth);
    return this.#planes;
  }

  close(): void {
    closeSync(this.#file);
  }
}
