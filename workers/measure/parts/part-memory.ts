import type { PicturePlan } from '../picture/plan/picture-plan.js';

/** What measuring a file is to take, whatever its size and length; ffmpeg's processes come on top. */
export const MOST_BYTES = 400e6;
/** The program itself with its libraries, the sound's thread, and what is remembered of every frame. */
const PROGRAM_BYTES = 130e6;
/** The two threads of a part, as they were seen to grow the process. */
const THREAD_BYTES = 22e6;
/** Frames in a kernel's memory: one measured, the one before, one that is filled. */
const FRAMES = 3;
/** Tables of a kernel whatever the picture's size: counters by code, light and pairs of neighbours. */
const TABLE_BYTES = 3e6;
/** Rows in work, cells, and what the studies remember of cells: so many bytes a pixel. */
const PIXEL_BYTES = 1;

/**
 * Memory of a kernel, its studies and its threads. Whole processes were seen to peak at 125 MB for one small
 * part and at 347 MB for two of UHD 10-bit 4:2:2, where this reckons 155 and 396.
 */
export function partBytes({ layout, geometry }: Pick<PicturePlan, 'layout' | 'geometry'>): number {
  const { frameBytes, lumaSamples } = geometry;
  // Bytes are widened to 16 bits for who looks at samples.
  const widened = layout.bytesPerSample === 1 ? 2 * frameBytes : 0;
  return FRAMES * frameBytes + widened + TABLE_BYTES + PIXEL_BYTES * lumaSamples + THREAD_BYTES;
}

/** How many parts may be measured at once: 1 where a second has no room. */
export function partsInMemory(plan: Pick<PicturePlan, 'layout' | 'geometry'>): number {
  return Math.max(1, Math.floor((MOST_BYTES - PROGRAM_BYTES) / partBytes(plan)));
}
