/** A figure of each plane, frame by frame: `y`, `u`, `v` or `r`, `g`, `b`, as the filters name them. */
export type FrameStatistics = ReadonlyMap<string, readonly number[]>;

/**
 * Reads the statistics that ffmpeg's `psnr` filter writes, a line a frame: `n:1 mse_avg:0.5 mse_y:0.5 ...
 * psnr_y:51.1 ...`. Gives the mean squared errors, in codes.
 */
export function readPsnr(text: string): FrameStatistics {
  return readFigures(text, /\bmse_([yuvrgb]):(\S+)/g);
}

/** The same of `ssim`: `n:1 Y:0.99 U:0.98 V:0.99 All:0.99 (20.1)`. */
export function readSsim(text: string): FrameStatistics {
  return readFigures(text, /\b([YUVRGB]):(\S+)/g);
}

function readFigures(text: string, pattern: RegExp): FrameStatistics {
  const planes = new Map<string, number[]>();
  for (const line of text.split('\n')) {
    for (const [, name = '', value] of line.matchAll(pattern)) {
      const plane = name.toLowerCase();
      const figures = planes.get(plane) ?? [];
      figures.push(Number(value));
      planes.set(plane, figures);
    }
  }
  return planes;
}
