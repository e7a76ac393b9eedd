import { open } from 'node:fs/promises';
import { join } from 'node:path';
import type { HdrStaticMetadata } from '../../../jobs/manifest/colour.js';
import type { Layer } from '../../../jobs/measurement/measured-container.js';
import { makeTemporaryFolder } from '../../children/temporary-folder.js';
import { faultError, ffmpegFault } from '../../ffmpeg/fault.js';
import { runFfmpeg } from '../../ffmpeg/run-ffmpeg.js';
import { rasterOf } from '../container-by-ffprobe.js';
import { known, knownAspect, type ProbedStream, probedFile, probedFrames } from '../ffprobe-output.js';
import { describePixelFormat } from '../pixel-format.js';
import { type ProbeOptions, runFfprobe } from '../run-ffprobe.js';
import { levelOf } from './codec-level.js';
import { orNull, tagsOf } from './colour-layers.js';
import { readH264Hdr } from './h264-hdr.js';
import { hdrOf } from './hdr-metadata.js';
import { DECLARES_RATE, readHeaderRate } from './header-rate.js';
import {
  isProresFrame,
  proresFrameAspect,
  proresFrameColour,
  proresFrameRaster,
  proresFrameScan,
} from './prores-frame-header.js';

/**
 * Codecs that can be stored without container, with the ffmpeg format that adds no colour tags of its own.
 */
const ELEMENTARY: Readonly<Record<string, string>> = {
  h264: 'h264',
  hevc: 'hevc',
  mpeg2video: 'mpeg2video',
  av1: 'ivf',
  prores: 'data',
};

export const SILENT_LAYER: Layer = {
  colour: null,
  raster: null,
  frameRate: null,
  sampleAspect: null,
  scan: null,
  cleanAperture: null,
  mastering: null,
  lightLevel: null,
  profile: null,
  level: null,
  samples: null,
  chromaSiting: null,
};

/**
 * What the bitstream alone declares: its first access unit is copied out of the container and read
 * separately. Null where it declares nothing; all null for codecs that cannot be read without container. Scan
 * is read for ProRes only: one frame proves little about the others, and the measurement has the flags of
 * every frame.
 *
 * @param first the beginning of the first sample, where it is known
 */
export async function bitstreamFacts(
  path: string,
  stream: number,
  codec: string,
  options: ProbeOptions,
  first?: Buffer | null,
): Promise<Layer> {
  const format = ELEMENTARY[codec];
  if (format === undefined) return SILENT_LAYER;
  if (codec === 'prores' && first != null && isProresFrame(first)) return proresLayer(first);
  const headers = { hdr: readH264Hdr(), rate: readHeaderRate(codec) };
  const folder = makeTemporaryFolder('probe');
  try {
    const alone = join(folder.path, 'alone');
    const copyOut = async (trace: readonly string[]): Promise<boolean> => {
      const copy = ['-map', `0:${stream}`, '-c', 'copy', '-frames:v', '1', ...trace, '-f', format];
      const result = await runFfmpeg(
        { inputs: [{ path, options: [] }], outputs: [{ path: alone, options: copy }] },
        {
          signal: options.signal,
          timeoutMs: options.timeoutMs ?? 60_000,
          tools: options.tools,
          onLine: (line) => {
            if (codec === 'h264') headers.hdr.line(line);
            headers.rate.line(line);
          },
        },
      );
      const fault = ffmpegFault(result);
      if (fault !== null && !fault.blamesFile) throw faultError('ffmpeg', fault, path);
      return result.exitCode === 0;
    };
    // Tracing fails on headers it does not know; copying does not.
    const traced = DECLARES_RATE.has(codec) && (await copyOut(['-bsf:v', 'trace_headers']));
    if (!traced && !(await copyOut([]))) return SILENT_LAYER;
    return codec === 'prores'
      ? proresLayer(await head(alone))
      : await layerOf(alone, codec, headers.hdr.result(), headers.rate.result(), options);
  } finally {
    folder.remove();
  }
}

function proresLayer(frame: Buffer): Layer {
  return {
    ...SILENT_LAYER,
    colour: orNull(proresFrameColour(frame)),
    raster: proresFrameRaster(frame),
    sampleAspect: proresFrameAspect(frame),
    scan: proresFrameScan(frame),
  };
}

async function layerOf(
  path: string,
  codec: string,
  traced: HdrStaticMetadata,
  frameRate: Layer['frameRate'],
  options: ProbeOptions,
): Promise<Layer> {
  const format = codec === 'mpeg2video' ? 'mpegvideo' : (ELEMENTARY[codec] ?? codec);
  const args = ['-f', format, '-show_streams', '-show_frames', '-read_intervals', '%+#1'];
  const { streams, frames } = await runFfprobe(path, args, probedFile.extend(probedFrames.shape), options);
  const [stream] = streams;
  if (stream === undefined) return SILENT_LAYER;
  const decoded = hdrOf(frames[0]?.side_data_list ?? []);
  return {
    colour: orNull(tagsOf(stream)),
    raster: rasterOf(stream),
    frameRate,
    sampleAspect: knownAspect(stream.sample_aspect_ratio),
    scan: null,
    cleanAperture: null,
    mastering: decoded.mastering ?? traced.mastering,
    lightLevel: decoded.lightLevel ?? traced.lightLevel,
    profile: known(stream.profile),
    level: levelOf(codec, stream.level),
    samples: null,
    chromaSiting: sitingOf(codec, stream),
  };
}

/**
 * Siting varies only in 4:2:0. Where H.264 and H.265 declare none, it is type 0, left (E.2.1 and E.3.1, from
 * memory).
 */
function sitingOf(codec: string, stream: ProbedStream): string | null {
  if (describePixelFormat(stream.pix_fmt ?? '')?.chroma !== '4:2:0') return null;
  const inferred = codec === 'h264' || codec === 'hevc' ? 'left' : null;
  return known(stream.chroma_location) ?? inferred;
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
