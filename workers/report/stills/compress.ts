import { open, readFile, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { makeTemporaryFolder } from '../../children/temporary-folder.js';
import { runFfmpeg } from '../../ffmpeg/run-ffmpeg.js';
import type { Tools } from '../../ffmpeg/tools.js';
import type { Size } from './reduce.js';

/** Most bytes of one picture in a report. */
const MOST_BYTES = 60_000;
/** Qualities of the JPEG encoder, best first; the first that is small enough is taken, else the last. */
const QUALITIES = [3, 7, 14, 28];

export interface CompressOptions {
  /** Programs to start; by default those of the PATH. */
  readonly tools?: Tools | undefined;
  readonly signal?: AbortSignal | undefined;
}

/**
 * Pictures as JPEG data URIs, in order. Chroma at half resolution: the lines that mark an area are black and
 * white.
 *
 * @param pictures all of the given size; R'G'B', 8 bits each
 * Throws Error when ffmpeg gives fewer; GoodgateError as `runFfmpeg`.
 */
export async function compressPictures(
  pictures: readonly Uint8Array[],
  { width, height }: Size,
  { tools, signal }: CompressOptions,
): Promise<string[]> {
  const folder = makeTemporaryFolder('stills');
  try {
    const raw = join(folder.path, 'pictures');
    const file = await open(raw, 'w');
    try {
      for (const rgb of pictures) await file.writeFile(rgb);
    } finally {
      await file.close();
    }
    const result = await runFfmpeg(
      {
        inputs: [
          {
            path: raw,
            options: ['-f', 'rawvideo', '-pix_fmt', 'rgb24', '-video_size', `${width}x${height}`],
          },
        ],
        outputs: QUALITIES.map((quality) => ({
          path: join(folder.path, `${quality}-%d.jpg`),
          options: [
            ...['-vf', 'scale=flags=accurate_rnd+full_chroma_int,format=yuvj420p', '-c:v', 'mjpeg'],
            ...['-q:v', String(quality), '-fps_mode', 'passthrough', '-f', 'image2', '-start_number', '0'],
          ],
        })),
      },
      { tools, signal, timeoutMs: 60_000 },
    );
    if (result.exitCode !== 0) throw new Error(`ffmpeg: ${result.errors.at(-1) ?? 'it gave no reason'}`);
    return await Promise.all(pictures.map((_, index) => smallEnough(folder.path, index)));
  } finally {
    folder.remove();
  }
}

async function smallEnough(folder: string, index: number): Promise<string> {
  const name = (quality: number): string => join(folder, `${quality}-${index}.jpg`);
  for (const quality of QUALITIES) {
    const { size } = await stat(name(quality));
    if (size > MOST_BYTES && quality !== QUALITIES.at(-1)) continue;
    return `data:image/jpeg;base64,${(await readFile(name(quality))).toString('base64')}`;
  }
  throw new Error('no picture came out');
}
