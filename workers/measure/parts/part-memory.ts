import type { PicturePlan } from '../picture/plan/picture-plan.js';

/** Memory limit of measuring a file, whatever its size and length, without the processes of ffmpeg. */
export const MOST_BYTES = 400e6;
/** The program with its libraries, the sound thread, and the columns of all frames. */
const PROGRAM_BYTES = 130e6;
/** The two threads of a part, as measured. */
const THREAD_BYTES = 22e6;
/** Frames in the memory of a kernel: one being measured, the previous one, one being filled. */
const FRAMES = 3;
/** Tables of a kernel, independent of the picture size: counters by code, light and pairs of neighbours. */
const TABLE_BYTES = 3e6;
/** Working rows, cells, and what the studies remember of cells, in bytes per pixel. */
const PIXEL_BYTES = 1;

/**
 * Memory of a kernel, its studies and its threads. Whole processes peaked at 125 MB for one small part and at
 * 347 MB for two of UHD 10-bit 4:2:2, where this estimates 155 and 396.
 */
export function partBytes({ layout, geometry }: Pick<PicturePlan, 'layout' | 'geometry'>): number {
  const { frameBytes, lumaSamples } = geometry;
  // 8-bit samples are widened to 16 bits for plane studies.
  const widened = layout.bytesPerSample === 1 ? 2 * frameBytes : 0;
  return FRAMES * frameBytes + widened + TABLE_BYTES + PIXEL_BYTES * lumaSamples + THREAD_BYTES;
}

/** How many parts may be measured in parallel: 1 where a second one does not fit. */
export function partsInMemory(plan: Pick<PicturePlan, 'layout' | 'geometry'>): number {
  return Math.max(1, Math.floor((MOST_BYTES - PROGRAM_BYTES) / partBytes(plan)));
}
