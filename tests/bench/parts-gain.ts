import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, renameSync } from 'node:fs';
import { availableParallelism, tmpdir } from 'node:os';
import { join } from 'node:path';
import type { MeasureOptions } from '../../workers/measure/measure-file.js';

const ROUNDS = 3;
const PARTS = 2;

/** A codec that ffmpeg decodes on one thread, long enough for two parts. Made once and kept between runs. */
function master(): string {
  const folder = join(tmpdir(), 'goodgate-bench');
  mkdirSync(folder, { recursive: true });
  const path = join(folder, 'hd-mjpeg.mov');
  if (existsSync(path)) return path;
  const part = join(folder, `part-${process.pid}-hd-mjpeg.mov`);
  const { status, stderr } = spawnSync('ffmpeg', [
    ...['-nostdin', '-hide_banner', '-v', 'error', '-y'],
    ...['-f', 'lavfi', '-i', 'mandelbrot=s=1280x720:r=25:end_scale=0.02,noise=alls=6:allf=t'],
    ...['-f', 'lavfi', '-i', 'sine=440:r=48000', '-t', '24'],
    ...['-c:v', 'mjpeg', '-q:v', '2', '-pix_fmt', 'yuvj422p', '-c:a', 'pcm_s24le', '-ac', '2', part],
  ]);
  if (status !== 0) throw new Error(`ffmpeg: ${stderr}`);
  renameSync(part, path);
  return path;
}

/**
 * What is gained where a codec that decodes on one thread is measured in two parts. Run in turn, the fastest of three rounds each.
 *
 * @param measureFile the built one: threads of the sources would be compiled first.
 */
export async function* partsGainLines(
  measureFile: (path: string, options?: MeasureOptions) => Promise<unknown>,
): AsyncGenerator<string> {
  const path = master();
  const seconds = async (parts: number): Promise<number> => {
    const began = performance.now();
    await measureFile(path, {
      parts,
      onUndivided: (why) => {
        throw new Error(`not measured in parts: ${why}`);
      },
    });
    return (performance.now() - began) / 1000;
  };
  const best = { whole: Infinity, parts: Infinity };
  for (let round = 0; round < ROUNDS; round++) {
    best.whole = Math.min(best.whole, await seconds(1));
    best.parts = Math.min(best.parts, await seconds(PARTS));
  }
  yield `measuring in parts, ${availableParallelism()} processors (wall time, best of ${ROUNDS} in turn)`;
  yield `  ${'HD 4:2:2 8-bit Motion JPEG'.padEnd(28)} in one go 1 (${best.whole.toFixed(2)} s)   in ${PARTS} parts ${(best.parts / best.whole).toFixed(2)}`;
}
