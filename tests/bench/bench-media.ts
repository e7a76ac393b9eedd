import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, renameSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

export interface Master {
  readonly title: string;
  readonly file: string;
  /** Input and encoder of the part that is made, `PART_SECONDS` long. */
  readonly make: readonly string[];
  /**
   * How often the part is repeated, without coding it again: making pictures takes longer than all that is
   * measured.
   */
  readonly times: number;
}

export const PART_SECONDS = 5;

/**
 * Moving, textured and noisy, so that decoders work as they do on camera pictures; `grade` is a filter or
 * nothing.
 */
export function picture(size: string, grade: string, noise: number): string[] {
  const graph = `mandelbrot=s=${size}:r=25:end_scale=0.02:maxiter=4000,format=yuv444p${grade},noise=alls=${noise}:allf=t`;
  return [
    ...['-f', 'lavfi', '-i', graph],
    ...['-f', 'lavfi', '-i', 'sine=440:r=48000', '-t', String(PART_SECONDS)],
  ];
}

export function ffmpeg(args: readonly string[]): void {
  const { status, stderr } = spawnSync('ffmpeg', ['-nostdin', '-hide_banner', '-v', 'error', '-y', ...args]);
  if (status !== 0) throw new Error(`ffmpeg: ${stderr}`);
}

/** The path of a master, made once and kept between runs, and its bit rate in Mbit/s. */
export function madeMaster({ file, make, times }: Master): { readonly path: string; readonly rate: number } {
  const folder = join(tmpdir(), 'goodgate-bench');
  mkdirSync(folder, { recursive: true });
  const path = join(folder, `${times}x-${file}`);
  if (!existsSync(path)) {
    const part = join(folder, `part-${process.pid}-${file}`);
    const whole = join(folder, `whole-${process.pid}-${file}`);
    ffmpeg([...make, part]);
    ffmpeg(['-stream_loop', String(times - 1), '-i', part, '-map', '0', '-c', 'copy', whole]);
    rmSync(part);
    renameSync(whole, path);
  }
  return { path, rate: Math.round((8 * statSync(path).size) / (PART_SECONDS * times) / 1e6) };
}

/** Wall time. */
export async function seconds(work: () => unknown): Promise<number> {
  const began = performance.now();
  await work();
  return (performance.now() - began) / 1000;
}
