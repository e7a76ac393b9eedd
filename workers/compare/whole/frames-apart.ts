import type { FrameStatistics } from './filter-statistics.js';

/**
 * Below both a frame is another picture: coarse coding of noise stays above 30 dB, and where it does not the
 * likeness of structure does (common practice, no source; held by tests over coders and pictures).
 */
const LEAST_PSNR_DB = 30;
const LEAST_SSIM = 0.85;
/** And it is this many times further off than the better frames of the same copy. */
const TIMES_THE_USUAL = 16;
/** Rank of the usual frame among all, from the best: most frames of a copy may be displaced. */
const USUAL_RANK = 0.1;

/**
 * Runs of frames, half open, that hold another picture than the original has there: lost, repeated, swapped
 * or replaced ones. Luma decides, or the worst of R'G'B'. Pure; figures frame by frame as `readPsnr` (mean
 * squared error in codes of `depth` bits) and `readSsim` give them. A copy that is wrong throughout has none:
 * nothing stands out there.
 */
export function framesApart(
  psnr: FrameStatistics,
  ssim: FrameStatistics,
  depth: number,
): { readonly from: number; readonly to: number }[] {
  const planes = psnr.has('y') ? ['y'] : ['r', 'g', 'b'];
  const errors = worstOf(planes, psnr, Math.max);
  const likeness = worstOf(planes, ssim, Math.min);
  const usual = [...errors].sort((a, b) => a - b)[Math.floor(errors.length * USUAL_RANK)] ?? 0;
  const most = Math.max((2 ** depth - 1) ** 2 / 10 ** (LEAST_PSNR_DB / 10), TIMES_THE_USUAL * usual);
  const runs: { from: number; to: number }[] = [];
  for (const [frame, error] of errors.entries()) {
    if (error <= most || (likeness[frame] ?? 1) >= LEAST_SSIM) continue;
    const last = runs.at(-1);
    if (last?.to === frame) last.to = frame + 1;
    else runs.push({ from: frame, to: frame + 1 });
  }
  return runs;
}

function worstOf(
  planes: readonly string[],
  figures: FrameStatistics,
  worst: (...values: number[]) => number,
): number[] {
  const columns = planes.map((plane) => figures.get(plane) ?? []);
  return (columns[0] ?? []).map((_, frame) => worst(...columns.flatMap((column) => column[frame] ?? [])));
}
