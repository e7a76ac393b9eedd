import { GoodgateError } from '../../jobs/errors.js';
import type { VideoFacts } from '../../jobs/manifest/facts.js';
import { formatRational, parseRational, type Rational } from '../../signal/rational.js';
import { bitstreamFacts } from './bitstream-facts.js';
import { asDecoded, containerColour, contradictions, joinLayers, tagsOf } from './colour-layers.js';
import {
  known,
  knownAspect,
  type ProbedFile,
  type ProbedFrame,
  type ProbedStream,
  probedFile,
  probedFrames,
  probedPackets,
} from './ffprobe-output.js';
import { rateFacts } from './frame-rate.js';
import { hdrFacts } from './hdr-metadata.js';
import { orientationOf } from './orientation.js';
import { describePixelFormat } from './pixel-format.js';
import { type ProbeOptions, runFfprobe } from './run-ffprobe.js';
import { scanFacts } from './scan-type.js';

/** Packets whose time stamps are looked at, and frames decoded at each sampled place. */
const PACKETS = 240;
const FRAMES = 3;
/** Counting packets reads the whole file: give it time. */
const COUNT_TIMEOUT_MS = 30 * 60_000;

/** Facts of the picture stream, with oddities in words. Throws GoodgateError `unreadable-clip` when it cannot be decoded here. */
export async function videoFacts(
  path: string,
  stream: ProbedStream,
  file: ProbedFile,
  options: ProbeOptions,
): Promise<{ facts: VideoFacts; notes: string[] }> {
  const codec = stream.codec_name ?? 'unknown';
  if (!stream.width || !stream.height || stream.pix_fmt === undefined) {
    throw unreadable(path, await whyUndecoded(path, stream.index, codec, options));
  }
  const still = isStill(file);
  const duration = Math.max(0, stream.duration ?? file.format?.duration ?? 0) || null;
  const [times, headFrames, middleFrames, container, inside] = await Promise.all([
    packetTimes(path, stream.index, options),
    sampleFrames(path, stream.index, `%+#${FRAMES}`, options),
    still || duration === null || duration < 2
      ? []
      : sampleFrames(path, stream.index, `${(duration / 2).toFixed(3)}%+#${FRAMES}`, options),
    containerColour(path, stream.index, options),
    bitstreamFacts(path, stream.index, codec, options),
  ]);
  const coded = codedFormat(stream, headFrames[0]);
  const described = describePixelFormat(coded.pixelFormat);
  if (described === null) {
    throw unreadable(path, `its picture comes as ${coded.pixelFormat}, which goodgate cannot handle`);
  }
  const { rate, constant } = rateFacts(stream, times, times.length < PACKETS);
  const count: FrameCount = still
    ? { frames: 1, from: 'container' }
    : await frameCount(path, stream, rate, options);
  const scan = scanFacts(codec, stream.field_order, [...headFrames, ...middleFrames]);
  const bitstream = inside.colour;
  const hdr = hdrFacts(stream.side_data_list, headFrames[0]?.side_data_list ?? [], inside);
  const raw = stream.bits_per_raw_sample ?? 0;

  const colour = asDecoded(joinLayers(bitstream, container, tagsOf(stream)), described.rgb);

  const notes = [...contradictions(bitstream, container), ...hdr.notes];
  if (colour.note !== null) notes.push(colour.note);
  if (scan.note !== null) notes.push(scan.note);
  if (coded.note !== null) notes.push(coded.note);
  if (still) notes.push('it is a still picture');
  if (headFrames.length === 0) notes.push('none of its first frames could be decoded');
  if (constant === false) notes.push('its frame rate is not constant');

  const facts: VideoFacts = {
    stream: stream.index,
    codec,
    profile: known(stream.profile),
    width: coded.width,
    height: coded.height,
    sampleAspect: knownAspect(stream.sample_aspect_ratio),
    displayAspect: knownAspect(stream.display_aspect_ratio),
    frameRate: still || rate === null ? null : formatRational(rate),
    constantRate: still ? null : constant,
    scan: scan.scan,
    durationSeconds: still ? null : duration,
    frames: count.frames,
    framesFrom: count.from,
    pixelFormat: coded.pixelFormat,
    bitDepth: raw > 0 && raw < described.bitDepth ? raw : described.bitDepth,
    chroma: described.chroma,
    ...orientationOf(stream.side_data_list),
    colour: colour.colour,
    colourByLayer: { container, bitstream },
    hdr: hdr.hdr,
    chromaLocation: known(stream.chroma_location),
  };
  return { facts, notes };
}

function unreadable(path: string, what: string): GoodgateError {
  return new GoodgateError('unreadable-clip', {
    what,
    where: path,
    next: 'copy it again, convert it with a program that can read it, or leave it out',
  });
}

interface CodedFormat {
  readonly width: number;
  readonly height: number;
  readonly pixelFormat: string;
  readonly note: string | null;
}

/** A decoded picture counts for more than what the container says of it; for some codecs ffprobe gives only that. */
function codedFormat(stream: ProbedStream, head: ProbedFrame | undefined): CodedFormat {
  const said = { width: stream.width ?? 0, height: stream.height ?? 0, pixelFormat: stream.pix_fmt ?? '' };
  const seen = {
    width: head?.width || said.width,
    height: head?.height || said.height,
    pixelFormat: head?.pix_fmt ?? said.pixelFormat,
  };
  const differs = seen.width !== said.width || seen.height !== said.height;
  const note = `the container says ${said.width} x ${said.height}, its pictures are ${seen.width} x ${seen.height}`;
  return { ...seen, note: differs ? note : null };
}

/** ffprobe names no pixel format where it has no decoder, but also where no picture came out of the one it has. */
async function whyUndecoded(
  path: string,
  stream: number,
  codec: string,
  options: ProbeOptions,
): Promise<string> {
  if (codec === 'unknown') return 'its picture is of a codec that this ffmpeg does not know';
  const packets = await packetTimes(path, stream, options);
  return packets.length === 0
    ? `it declares a picture (${codec}) but holds none: the header of a recording in segments, or cut short`
    : `not one picture (${codec}) can be decoded: damaged, encrypted, or of a kind that this ffmpeg does not know`;
}

/** A picture file: image2 reads one as a clip of one frame with an invented rate. */
function isStill(file: ProbedFile): boolean {
  const format = file.format?.format_name ?? '';
  return format === 'image2' || format.endsWith('_pipe');
}

interface FrameCount {
  readonly frames: number | null;
  readonly from: 'container' | 'packets' | null;
}

/**
 * Frames the container declares: its own count, or its duration where that is counted in whole frames (MXF edit
 * units). Else the packets are counted, which reads the whole file.
 */
async function frameCount(
  path: string,
  stream: ProbedStream,
  rate: Rational | null,
  options: ProbeOptions,
): Promise<FrameCount> {
  if (stream.nb_frames) return { frames: stream.nb_frames, from: 'container' };
  const timeBase = parseRational(stream.time_base ?? '');
  if (stream.duration_ts && timeBase && rate && timeBase.num === rate.den && timeBase.den === rate.num) {
    return { frames: stream.duration_ts, from: 'container' };
  }
  const args = ['-count_packets', '-select_streams', String(stream.index), '-show_streams'];
  const timeoutMs = Math.max(options.timeoutMs ?? 0, COUNT_TIMEOUT_MS);
  const { streams } = await runFfprobe(path, args, probedFile, { ...options, timeoutMs });
  const packets = streams[0]?.nb_read_packets ?? null;
  return { frames: packets, from: packets === null ? null : 'packets' };
}

async function packetTimes(path: string, stream: number, options: ProbeOptions): Promise<number[]> {
  const args = ['-select_streams', String(stream), '-read_intervals', `%+#${PACKETS}`];
  args.push('-show_packets', '-show_entries', 'packet=pts,dts');
  const { packets } = await runFfprobe(path, args, probedPackets, options);
  return packets.flatMap(({ pts }) => (pts === null || pts === undefined ? [] : [pts]));
}

/** Frames at one place. A place that cannot be sought or decoded gives none: that is for the measurement to find. */
async function sampleFrames(
  path: string,
  stream: number,
  interval: string,
  options: ProbeOptions,
): Promise<readonly ProbedFrame[]> {
  const args = ['-select_streams', String(stream), '-read_intervals', interval, '-show_frames'];
  try {
    return (await runFfprobe(path, args, probedFrames, options)).frames;
  } catch (error) {
    if (error instanceof GoodgateError && error.code === 'unreadable-clip') return [];
    throw error;
  }
}
