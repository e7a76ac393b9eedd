import { rename, rm, writeFile } from 'node:fs/promises';
import { basename, dirname, extname, join } from 'node:path';
import { GoodgateError } from '../../jobs/errors.js';
import type { PatternPicture } from '../../signal/pattern/pattern-picture.js';
import { writeFailure } from '../batch/write-whole.js';
import { makeTemporaryFolder } from '../children/temporary-folder.js';
import { runFfmpeg } from '../ffmpeg/run-ffmpeg.js';
import type { Tools } from '../ffmpeg/tools.js';
import { frameTags } from '../rendering/frame-tags.js';

export interface WritePatternOptions {
  readonly frames: number;
  /** Frames a second, a rational such as `30000/1001`. */
  readonly frameRate: string;
  /** Programs to start; by default those of the PATH. */
  readonly tools?: Tools | undefined;
  readonly signal?: AbortSignal | undefined;
}

/** Containers that hold FFV1 and all colour tags: a .mov keeps no range of RGB. */
export const PATTERN_EXTENSIONS = ['.mkv'] as const;

/**
 * Writes a test picture as a lossless FFV1 file of so many like frames, tagged with what its codes mean. The
 * file appears under its name only when it is whole.
 *
 * @throws GoodgateError `bad-option` for another container, `ffmpeg-failed`, `cannot-write`, `disk-full`,
 * `interrupted`.
 */
export async function writePattern(
  picture: PatternPicture,
  path: string,
  { frames, frameRate, tools, signal }: WritePatternOptions,
): Promise<void> {
  const extension = extname(path).toLowerCase();
  if (!PATTERN_EXTENSIONS.some((known) => known === extension)) {
    throw new GoodgateError('bad-option', {
      what: `a test picture is written as FFV1 into ${PATTERN_EXTENSIONS.join(' or ')}`,
      where: path,
      next: 'name the file with this ending',
    });
  }
  const folder = makeTemporaryFolder('pattern');
  const partial = join(
    dirname(path),
    `.${basename(path, extname(path)).slice(0, 100)}.${process.pid}.partial${extension}`,
  );
  try {
    const raw = join(folder.path, 'frame.raw');
    await writeFile(raw, rawFrame(picture));
    const result = await runFfmpeg(
      {
        inputs: [
          { path: raw, options: ['-stream_loop', String(frames - 1), ...rawOptions(picture, frameRate)] },
        ],
        outputs: [
          { path: partial, options: [...ENCODE, ...tagOptions(picture), '-frames:v', String(frames)] },
        ],
      },
      { tools, signal },
    );
    if (result.killedBy === 'abort')
      throw new GoodgateError('interrupted', { what: 'interrupted', where: path });
    if (result.exitCode !== 0 || result.errorCount > 0) throw failed(path, result.errors);
    await rename(partial, path);
  } catch (error) {
    throw writeFailure(path, error);
  } finally {
    await rm(partial, { force: true });
    folder.remove();
  }
}

const ENCODE = ['-c:v', 'ffv1', '-level', '3', '-g', '1', '-slicecrc', '1'];

function isRgb({ colour }: PatternPicture): boolean {
  return colour.matrix === 'gbr';
}

/** ffmpeg keeps RGB planes in the order G, B, R. */
function rawFrame(picture: PatternPicture): Buffer {
  const [a, b, c] = picture.planes;
  const planes = isRgb(picture) ? [b, c, a] : [a, b, c];
  return Buffer.concat(
    planes.map((plane) => {
      const bytes = Buffer.alloc(plane.length * 2);
      for (const [i, code] of plane.entries()) bytes.writeUInt16LE(code, i * 2);
      return bytes;
    }),
  );
}

function rawOptions(picture: PatternPicture, frameRate: string): string[] {
  const { width, height, depth } = picture;
  const pixelFormat = `${isRgb(picture) ? 'gbrp' : 'yuv444p'}${depth}le`;
  return [
    '-f',
    'rawvideo',
    '-pix_fmt',
    pixelFormat,
    '-video_size',
    `${width}x${height}`,
    '-framerate',
    frameRate,
  ];
}

/** Codec options call the matrix of RGB by another name than filters do. */
const CODEC_MATRIX: Readonly<Record<string, string>> = { gbr: 'rgb' };

function tagOptions({ colour }: PatternPicture): string[] {
  const { primaries, transfer, matrix, range } = frameTags(colour);
  return [
    '-color_primaries',
    primaries,
    '-color_trc',
    transfer,
    '-colorspace',
    CODEC_MATRIX[matrix] ?? matrix,
    '-color_range',
    range,
  ];
}

function failed(path: string, errors: readonly string[]): GoodgateError {
  return new GoodgateError('ffmpeg-failed', {
    what: `ffmpeg could not write the picture: ${errors[0] ?? 'no reason given'}`,
    where: path,
    next: '`goodgate doctor` shows what this machine can do',
  });
}
