import type { PictureMistake } from '../../../jobs/measurement/measured-comparison.js';
import type { FramePlanes } from '../pairs/frame-planes.js';

/** What the planes of both sides are. */
export interface PairForm {
  readonly model: 'ycbcr' | 'rgb' | 'grey';
  readonly range: 'narrow' | 'full';
  /** Bits at whose scale all codes are. */
  readonly depth: number;
  /** Bits of a sample of the copy. */
  readonly copyDepth: number;
}

/**
 * One frame of the original, and the frames of the copy that stand there and beside it. The memory is filled
 * with the next ones afterwards: what is to be kept is copied.
 */
export interface FramePair {
  readonly original: FramePlanes;
  readonly copy: FramePlanes;
  /** The planes that carry light. */
  readonly before: FramePlanes | null;
  readonly after: FramePlanes | null;
}

/** Squared error in the planes a mistake changes: as it is, and what is left were the mistake made. */
export interface Explained {
  readonly name: PictureMistake;
  /** What was found, in words. */
  readonly detail: string;
  readonly base: number;
  readonly left: number;
}

/** Looks for one kind of mistake: is shown every sampled frame, then tells how much it would explain. */
export interface Suspicion {
  see(pair: FramePair): void;
  /** Empty where the picture does not allow to tell. */
  found(): readonly Explained[];
}

/** Planes that carry light: Y' alone, or all three of R'G'B'. */
export function lightPlanes({ model }: Pick<PairForm, 'model'>): readonly number[] {
  return model === 'rgb' ? [0, 1, 2] : [0];
}

/** Samples of a line whose errors are added before they are squared: fine noise of coding is not in them. */
export const RUN = 8;

/** Samples of a plane that are looked at in one frame, about. */
const SAMPLES = 200_000;
/** Lines are taken in groups, so that fields and subsampled chroma keep together. */
const GROUP = 4;

/** One of so many groups of lines is looked at. */
function step(width: number, height: number): number {
  return Math.max(1, Math.round((width * height) / SAMPLES));
}

/** Lines of a plane that are looked at: groups of four, evenly spread. */
export function sampledLines(width: number, height: number): number[] {
  const every = step(width, height);
  return Array.from({ length: height }, (_, y) => y).filter((y) => Math.floor(y / GROUP) % every === 0);
}

/** First lines of the rows of blocks that are looked at, evenly spread. */
export function sampledRows(width: number, height: number, block: number): number[] {
  const every = step(width, height) * block;
  return Array.from({ length: Math.ceil(height / every) }, (_, row) => row * every).filter(
    (y) => y + block <= height,
  );
}
