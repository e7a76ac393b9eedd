import type { FrameStatistics } from './filter-statistics.js';

/** Half open. */
export interface FrameRun {
  readonly from: number;
  readonly to: number;
}

export interface FramesApart {
  /** Frames of another picture: lost, repeated, swapped or replaced ones. */
  readonly apart: readonly FrameRun[];
  /** Frames far less like the original than others, which lost grain or fine motion would explain too. */
  readonly doubtful: readonly FrameRun[];
}

/** Figures of every frame, as `readPsnr` (mean squared error in codes) and `readSsim` give them. */
export interface FrameFigures {
  readonly psnr: FrameStatistics;
  readonly ssim: FrameStatistics;
  /** Errors of both pictures reduced to means of 16 x 16 samples: grain that coding lost is not in them. */
  readonly coarse: FrameStatistics;
}

/** A frame of another picture is below both (measured on swapped frames and on coarsely coded ones). */
const LEAST_PSNR_DB = 30;
const LEAST_SSIM = 0.85;
/** And it is this many times further off than the better frames of the same copy. */
const TIMES_THE_USUAL = 16;
/** Rank of the usual frame among all, from the best: most frames of a copy may be displaced. */
const USUAL_RANK = 0.1;

/**
 * Frames that hold another picture than the original has there. Luma decides, or the worst of R'G'B'. Pure;
 * `depth` is that of the codes. A copy that is wrong throughout has none: nothing stands out there.
 */
export function framesApart({ psnr, ssim, coarse }: FrameFigures, depth: number): FramesApart {
  const planes = psnr.has('y') ? ['y'] : ['r', 'g', 'b'];
  const likeness = worstOf(planes, ssim, Math.min);
  const far = farFrames(worstOf(planes, psnr, Math.max), depth);
  const farInMeans = farFrames(worstOf(planes, coarse, Math.max), depth);
  const unlike = likeness.map((value, frame) => value < LEAST_SSIM && far(frame));
  return {
    apart: runsOf(unlike.map((is, frame) => is && farInMeans(frame))),
    doubtful: runsOf(unlike.map((is, frame) => is && !farInMeans(frame))),
  };
}

function farFrames(errors: readonly number[], depth: number): (frame: number) => boolean {
  const usual = [...errors].sort((a, b) => a - b)[Math.floor(errors.length * USUAL_RANK)] ?? 0;
  const most = Math.max((2 ** depth - 1) ** 2 / 10 ** (LEAST_PSNR_DB / 10), TIMES_THE_USUAL * usual);
  return (frame) => (errors[frame] ?? 0) > most;
}

/** Runs of marked frames. */
export function runsOf(marked: readonly boolean[]): FrameRun[] {
  const runs: { from: number; to: number }[] = [];
  for (const [frame, is] of marked.entries()) {
    if (!is) continue;
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
