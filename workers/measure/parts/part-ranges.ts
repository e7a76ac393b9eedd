/** One range of the frames of a file, `[from, to)`, and how many frames before it are decoded as lead-in. */
export interface PartRange {
  readonly from: number;
  readonly to: number;
  readonly lead: number;
}

/**
 * Divides the frames of a file into parts of about equal length.
 *
 * @param memory number of previous frames that figures may depend on
 */
export function splitFrames(frames: number, parts: number, memory: number): PartRange[] {
  const seams = Array.from({ length: parts + 1 }, (_, k) => Math.round((frames * k) / parts));
  return rangesBetween(seams, memory);
}

/** @param seams ascending frame numbers, from 0 to the number of frames. */
export function rangesBetween(seams: readonly number[], memory: number): PartRange[] {
  return seams.slice(1).map((to, k) => {
    const from = seams[k] ?? 0;
    return { from, to, lead: Math.min(from, memory) };
  });
}
