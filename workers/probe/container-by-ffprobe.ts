import type { ContainerTrack, Layer } from '../../jobs/measurement/measured-container.js';
import { orNull, tagsOf } from './bitstream/colour-layers.js';
import { hdrOf } from './bitstream/hdr-metadata.js';
import { samplesRecord } from './boxes/codec-record.js';
import {
  known,
  knownAspect,
  type ProbedStream,
  probedFile,
  SHOW_CONTAINER,
  SHOW_FILE,
} from './ffprobe-output.js';
import { type ProbeOptions, runFfprobe } from './run-ffprobe.js';
import { scanOfFieldOrder } from './scan-type.js';

export interface ProbedContainer {
  readonly picture: Layer | null;
  readonly tracks: readonly ContainerTrack[];
}

/** Containers that describe the picture themselves; a transport stream or an elementary stream does not. */
const DESCRIBES_PICTURE = /matroska|webm|mxf|avi|mov|mp4/;

/**
 * What a container declares where its structure is not read here. Times are those that ffprobe calculates.
 *
 * Throws the errors of `runFfprobe`.
 */
export async function containerByFfprobe(
  path: string,
  format: string,
  pictureStream: number | null,
  options: ProbeOptions,
): Promise<ProbedContainer> {
  const [alone, calculated] = await Promise.all([
    runFfprobe(path, SHOW_CONTAINER, probedFile, options),
    runFfprobe(path, SHOW_FILE, probedFile, options),
  ]);
  const picture = alone.streams.find(({ index }) => index === pictureStream);
  return {
    picture: picture === undefined || !DESCRIBES_PICTURE.test(format) ? null : layerOf(picture),
    tracks: calculated.streams.map(trackOf),
  };
}

function layerOf(stream: ProbedStream): Layer {
  return {
    colour: orNull(tagsOf(stream)),
    raster: rasterOf(stream),
    frameRate: null,
    sampleAspect: knownAspect(stream.sample_aspect_ratio),
    scan: scanOfFieldOrder(stream.field_order),
    cleanAperture: null,
    ...hdrOf(stream.side_data_list),
    profile: null,
    level: null,
    samples: samplesRecord(stream.codec_name ?? '', bytesOfDump(stream.extradata ?? '')),
    chromaSiting: known(stream.chroma_location),
  };
}

/** ffprobe prints data as `00000000: 0142 c01e  .B..`: 16 bytes a line, then as text. */
function bytesOfDump(dump: string): Buffer {
  const lines = [...dump.matchAll(/^[0-9a-f]{8}: ((?:[0-9a-f]{2,4} ){1,8})/gm)];
  return Buffer.from(lines.map(([, hex = '']) => hex.replaceAll(' ', '')).join(''), 'hex');
}

/** Null where the container declares none: ffprobe then has no width, or 0. */
export function rasterOf({ width, height }: ProbedStream): Layer['raster'] {
  return width && height ? { width, height } : null;
}

function trackOf(stream: ProbedStream): ContainerTrack {
  const kinds: Readonly<Record<string, ContainerTrack['kind']>> = { video: 'video', audio: 'audio' };
  const duration = stream.duration ?? null;
  const seconds = duration !== null && duration >= 0 ? duration : null;
  return {
    kind: stream.codec_tag_string === 'tmcd' ? 'timecode' : (kinds[stream.codec_type ?? ''] ?? 'other'),
    codec: stream.codec_name ?? 'unknown',
    samples: stream.nb_frames ?? null,
    presentedSamples: null,
    partlyPresented: null,
    mediaSeconds: seconds,
    presentedSeconds: seconds,
    startSeconds: stream.start_time ?? null,
    edits: null,
  };
}
