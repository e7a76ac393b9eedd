import { mkdtemp, open, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { ColourTags, HdrStaticMetadata } from '../../jobs/colour.js';
import { runFfmpeg } from '../ffmpeg/run-ffmpeg.js';
import { orNull, tagsOf } from './colour-layers.js';
import { probedFile } from './ffprobe-output.js';
import { readH264Hdr } from './h264-hdr.js';
import type { ProbeOptions } from './probe-clip.js';
import { proresFrameColour } from './prores-frame-header.js';
import { runFfprobe } from './run-ffprobe.js';

/** Codecs whose stream can stand alone, with the format that adds no colour tags of its own around it. */
const ELEMENTARY: Readonly<Record<string, string>> = {
  h264: 'h264',
  hevc: 'hevc',
  mpeg2video: 'mpeg2video',
  av1: 'ivf',
  prores: 'data',
};

export interface BitstreamFacts {
  readonly colour: ColourTags | null;
  readonly hdr: HdrStaticMetadata;
}

const SILENT: BitstreamFacts = { colour: null, hdr: { mastering: null, lightLevel: null } };

/**
 * What the coded picture alone says: its first access unit is copied out of the container and read by itself.
 * Colour is null when it says nothing, and for codecs that carry no colour or cannot stand alone here. HDR metadata is
 * read here for H.264 only; for other codecs the first frame carries it.
 */
export async function bitstreamFacts(
  path: string,
  stream: number,
  codec: string,
  options: ProbeOptions,
): Promise<BitstreamFacts> {
  const format = ELEMENTARY[codec];
  if (format === undefined) return SILENT;
  const hdr = readH264Hdr();
  const folder = await mkdtemp(join(tmpdir(), 'goodgate-probe-'));
  try {
    const alone = join(folder, 'alone');
    const trace = codec === 'h264' ? ['-bsf:v', 'trace_headers'] : [];
    const copy = ['-map', `0:${stream}`, '-c', 'copy', '-frames:v', '1', ...trace, '-f', format];
    const copied = await runFfmpeg(
      { inputs: [{ path, options: [] }], outputs: [{ path: alone, options: copy }] },
      {
        signal: options.signal,
        timeoutMs: options.timeoutMs ?? 60_000,
        ffmpegPath: options.ffmpegPath,
        onLine: (line) => codec === 'h264' && hdr.line(line),
      },
    );
    if (copied.exitCode !== 0) return SILENT;
    return { colour: await colourOf(alone, codec, format, options), hdr: hdr.result() };
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

async function colourOf(
  path: string,
  codec: string,
  format: string,
  options: ProbeOptions,
): Promise<ColourTags | null> {
  if (codec === 'prores') return orNull(proresFrameColour(await head(path)));
  const args = ['-f', format === 'mpeg2video' ? 'mpegvideo' : format, '-show_streams'];
  const { streams } = await runFfprobe(path, args, probedFile, options);
  return streams[0] === undefined ? null : orNull(tagsOf(streams[0]));
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
