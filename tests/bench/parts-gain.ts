import { availableParallelism } from 'node:os';
import type { MeasureOptions } from '../../workers/measure/measure-file.js';
import { type Master, madeMaster, picture, seconds } from './bench-media.js';

const ROUNDS = 3;
const PARTS = 2;

/** A codec that ffmpeg decodes on one thread. */
const MASTER: Master = {
  title: '720p 4:2:2 8-bit Motion JPEG',
  file: '720-mjpeg.mov',
  make: [
    ...picture('1280x720', '', 24),
    ...['-c:v', 'mjpeg', '-q:v', '1', '-qmin', '1', '-pix_fmt', 'yuvj422p', '-c:a', 'pcm_s24le', '-ac', '2'],
  ],
  times: 18,
};

/**
 * What is gained where a codec that decodes on one thread is measured in two parts. Run in turn, the fastest
 * of three rounds each.
 *
 * @param measureFile the built one: sources are compiled while they run.
 */
export async function* partsGainLines(
  measureFile: (path: string, options?: MeasureOptions) => Promise<unknown>,
): AsyncGenerator<string> {
  const { path, rate } = madeMaster(MASTER);
  const whyNot = (why: string): never => {
    throw new Error(`not measured in parts: ${why}`);
  };
  const measured = (parts: number): Promise<number> =>
    seconds(() => measureFile(path, { parallelism: { here: parts }, onUndivided: whyNot }));
  const best = { whole: Infinity, parts: Infinity };
  for (let round = 0; round < ROUNDS; round++) {
    best.whole = Math.min(best.whole, await measured(1));
    best.parts = Math.min(best.parts, await measured(PARTS));
  }
  yield `measuring in parts, ${availableParallelism()} processors (wall time, best of ${ROUNDS} in turn)`;
  yield `  ${MASTER.title.padEnd(28)} ${rate} Mbit/s   in one go 1 (${best.whole.toFixed(2)} s)   in ${PARTS} parts ${(best.parts / best.whole).toFixed(2)}`;
}
