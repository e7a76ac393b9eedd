import { mkdtemp, open, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { ColourTags } from '../../jobs/colour.js';
import { runFfmpeg } from '../ffmpeg/run-ffmpeg.js';
import { type ProbedColour, probedFile } from './ffprobe-output.js';
import { proresFrameColour } from './prores-frame-header.js';
import { type FfprobeOptions, runFfprobe } from './run-ffprobe.js';

/** Codecs whose stream can stand alone, with the format that adds no colour tags of its own around it. */
const ELEMENTARY: Readonly<Record<string, string>> = {
  h264: 'h264',
  hevc: 'hevc',
  mpeg2video: 'mpeg2video',
  av1: 'ivf',
  prores: 'data',
};
const SILENT = new Set(['unknown', 'unspecified', 'reserved']);
const RANGES: Readonly<Record<string, ColourTags['range']>> = { tv: 'narrow', pc: 'full' };

/** The four tags as ffprobe words them. */
export function tagsOf(probed: ProbedColour): ColourTags {
  const name = (value: string | undefined) => (value === undefined || SILENT.has(value) ? null : value);
  return {
    primaries: name(probed.color_primaries),
    transfer: name(probed.color_transfer),
    matrix: name(probed.color_space),
    range: RANGES[probed.color_range ?? ''] ?? null,
  };
}

/**
 * What the container alone says: ffprobe told not to read the streams, so no decoder has overwritten anything.
 * Null when it says nothing.
 */
export async function containerColour(
  path: string,
  stream: number,
  options: FfprobeOptions,
): Promise<ColourTags | null> {
  const args = ['-nofind_stream_info', '-show_streams'];
  const { streams } = await runFfprobe(path, args, probedFile, options);
  const found = streams.find((candidate) => candidate.index === stream);
  return found === undefined ? null : orNull(tagsOf(found));
}

/**
 * What the coded picture alone says: its first access unit is copied out of the container and read by itself.
 * Null when it says nothing, and for codecs that carry no colour or that cannot stand alone here.
 */
export async function bitstreamColour(
  path: string,
  stream: number,
  codec: string,
  options: FfprobeOptions & { readonly ffmpegPath?: string | undefined },
): Promise<ColourTags | null> {
  const format = ELEMENTARY[codec];
  if (format === undefined) return null;
  const folder = await mkdtemp(join(tmpdir(), 'goodgate-probe-'));
  try {
    const alone = join(folder, 'alone');
    const copied = await runFfmpeg(
      {
        inputs: [{ path, options: [] }],
        outputs: [
          { path: alone, options: ['-map', `0:${stream}`, '-c', 'copy', '-frames:v', '1', '-f', format] },
        ],
      },
      { signal: options.signal, timeoutMs: options.timeoutMs ?? 60_000, ffmpegPath: options.ffmpegPath },
    );
    if (copied.exitCode !== 0) return null;
    if (codec === 'prores') return orNull(proresFrameColour(await head(alone)));
    const args = ['-f', format === 'mpeg2video' ? 'mpegvideo' : format, '-show_streams'];
    const { streams } = await runFfprobe(alone, args, probedFile, options);
    return streams[0] === undefined ? null : orNull(tagsOf(streams[0]));
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

async function head(path: string): Promise<Buffer> {
  const file = await open(path);
  try {
    const { buffer, bytesRead } = await file.read(Buffer.alloc(256), 0, 256, 0);
    return buffer.subarray(0, bytesRead);
  } finally {
    await file.close();
  }
}

function orNull(tags: ColourTags): ColourTags | null {
  return Object.values(tags).every((tag) => tag === null) ? null : tags;
}

/** Tag by tag: the bitstream where it speaks (a decoder obeys it), else the container, else what ffprobe concluded. */
export function joinLayers(
  bitstream: ColourTags | null,
  container: ColourTags | null,
  concluded: ColourTags,
): ColourTags {
  return {
    primaries: bitstream?.primaries ?? container?.primaries ?? concluded.primaries,
    transfer: bitstream?.transfer ?? container?.transfer ?? concluded.transfer,
    matrix: bitstream?.matrix ?? container?.matrix ?? concluded.matrix,
    range: bitstream?.range ?? container?.range ?? concluded.range,
  };
}

/** The tags on which both layers speak and differ, in words. */
export function contradictions(bitstream: ColourTags | null, container: ColourTags | null): string[] {
  if (bitstream === null || container === null) return [];
  return (['primaries', 'transfer', 'matrix', 'range'] as const).flatMap((tag) => {
    const [inside, outside] = [bitstream[tag], container[tag]];
    if (inside === null || outside === null || inside === outside) return [];
    return [
      `colour ${tag}: the container says ${outside}, the bitstream says ${inside}; the bitstream counts`,
    ];
  });
}
