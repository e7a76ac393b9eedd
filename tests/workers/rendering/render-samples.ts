import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Colour } from '../../../jobs/manifest/colour.js';
import { runFfmpeg } from '../../../workers/ffmpeg/run-ffmpeg.js';
import type { BakedFiles } from '../../../workers/rendering/bake-files.js';
import { renderingFilters } from '../../../workers/rendering/filters.js';
import type { PictureFormat } from '../../../workers/rendering/picture-format.js';
import { pixelLayout } from '../../../workers/rendering/pixel-format.js';

/** Planes of one frame, in ffmpeg's order (Y, Cb, Cr or G, B, R), codes at the format's depth. */
export type Planes = readonly (readonly number[])[];

export function planeSizes({
  pixelFormat,
  width,
  height,
}: PictureFormat): { width: number; height: number }[] {
  const { shiftX, shiftY } = pixelLayout(pixelFormat);
  const chroma = { width: Math.ceil(width / 2 ** shiftX), height: Math.ceil(height / 2 ** shiftY) };
  return [{ width, height }, chroma, chroma];
}

function bytesOf(planes: Planes, depth: number): Buffer {
  const samples = planes.flat();
  return depth === 8 ? Buffer.from(samples) : Buffer.from(Uint16Array.from(samples).buffer);
}

function planesOf(bytes: Buffer, format: PictureFormat): Planes {
  const wide = pixelLayout(format.pixelFormat).depth > 8;
  let at = 0;
  return planeSizes(format).map(({ width, height }) =>
    Array.from({ length: width * height }, () => {
      const sample = wide ? bytes.readUInt16LE(at) : bytes.readUInt8(at);
      at += wide ? 2 : 1;
      return sample;
    }),
  );
}

/**
 * One frame of known codes through real files and the real chain: raw codes into a lossless FFV1 file, that
 * file through the filters into another, and that one decoded to raw codes.
 */
export async function renderSamples(request: {
  from: Colour;
  to: Colour;
  baked: BakedFiles | null;
  source: PictureFormat;
  output: PictureFormat;
  planes: Planes;
}): Promise<Planes> {
  const { from, to, baked, source, output, planes } = request;
  const folder = await mkdtemp(join(tmpdir(), 'goodgate-render-'));
  try {
    const raw = join(folder, 'in.raw');
    await writeFile(raw, bytesOf(planes, pixelLayout(source.pixelFormat).depth));
    const original = join(folder, 'original.mkv');
    const rendered = join(folder, 'rendered.mkv');
    const decoded = join(folder, 'out.raw');
    const lossless = ['-c:v', 'ffv1', '-level', '3'];
    await run(raw, rawInput(source), original, lossless);
    const filters = renderingFilters(from, to, baked, source, output).join(',');
    const scan =
      source.scan === 'progressive' ? [] : ['-field_order', source.scan.endsWith('tff') ? 'tt' : 'bb'];
    await run(original, [], rendered, ['-vf', filters, ...lossless, ...scan]);
    await run(rendered, [], decoded, ['-f', 'rawvideo', '-pix_fmt', output.pixelFormat]);
    return planesOf(await readFile(decoded), output);
  } finally {
    await rm(folder, { recursive: true });
  }
}

function rawInput({ pixelFormat, width, height }: PictureFormat): string[] {
  return ['-f', 'rawvideo', '-pix_fmt', pixelFormat, '-video_size', `${width}x${height}`];
}

async function run(input: string, inputOptions: string[], output: string, options: string[]): Promise<void> {
  const result = await runFfmpeg({
    inputs: [{ path: input, options: inputOptions }],
    outputs: [{ path: output, options }],
  });
  if (result.exitCode !== 0 || result.errorCount > 0) throw new Error(result.errors.join('\n'));
}
