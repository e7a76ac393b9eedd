import { GoodgateError } from '../../jobs/errors.js';
import type { VideoFacts } from '../../jobs/manifest/facts.js';
import type { Layer } from '../../jobs/measurement/measured-container.js';
import { formatRational, parseRational, type Rational, rational, toNumber } from '../../signal/rational.js';
import { pictureExtras } from './beside-facts.js';
import { bitstreamFacts } from './bitstream/bitstream-facts.js';
import { asDecoded, containerColour, contradictions, joinLayers, tagsOf } from './bitstream/colour-layers.js';
import { hdrFacts } from './bitstream/hdr-metadata.js';
import { samplesContradiction } from './boxes/codec-record.js';
import type { BoxReading } from './boxes/read-boxes.js';
import {
  known,
  knownAspect,
  type ProbedFile,
  type ProbedFrame,
  type ProbedStream,
} from './ffprobe-output.js';
import { isOnGrid, rateOf, statedRates, steadyRate } from './frame-rate.js';
import { listPackets } from './list-packets.js';
import { orientationOf } from './orientation.js';
import { describePixelFormat } from './pixel-format.js';
import {
  CODES_FIELDS,
  mayHidePictures,
  type PresentedPictures,
  presentedPackets,
  withoutHiddenPictures,
  withoutSecondFields,
} from './presented-pictures.js';
import type { ProbeOptions } from './run-ffprobe.js';
import { framesAtPlaces, PACKETS } from './sampled-frames.js';
import { votesOfMotion } from './scan-by-motion.js';
import { containerFieldOrder, scanByPicture, statedScan } from './scan-type.js';

/** Packets decoded at the head where not each of them may be a frame. */
const MORE_PACKETS = 32;
/**
 * Frames that an edit list hides at the head are decoded to reach the first that is shown; usually a group of
 * pictures.
 */
const MOST_HIDDEN = 600;
/**
 * For a constant rate, average and rate differ by less than this fraction; 24 and 24000/1001 differ by
 * 1/1001.
 */
const SAME_RATE = 0.0004;

/**
 * Facts of the picture stream, with remarks on unusual properties. Throws GoodgateError `unreadable-clip`
 * when it cannot be decoded here.
 */
export async function videoFacts(
  path: string,
  stream: ProbedStream,
  file: ProbedFile,
  boxes: BoxReading | null,
  options: ProbeOptions,
): Promise<{ facts: VideoFacts; bitstream: Layer; notes: string[] }> {
  const codec = stream.codec_name ?? 'unknown';
  if (!stream.width || !stream.height || stream.pix_fmt === undefined) {
    throw unreadable(path, await whyUndecoded(path, stream.index, codec, options));
  }
  const still = isStill(file);
  const duration = Math.max(0, stream.duration ?? file.format?.duration ?? 0) || null;
  const packets = await presentedPackets(path, stream, boxes, options);
  const isInFields = mayBeFields(codec, stream);
  const hides = mayHidePictures(codec);
  const sampled = isInFields || hides ? MORE_PACKETS : PACKETS;
  const hidden = Math.min(packets.hidden, MOST_HIDDEN);
  const middle = still || duration === null || duration < 2 ? null : duration / 2;
  const [{ headFrames, middleFrames }, container, inside] = await Promise.all([
    framesAtPlaces(path, stream.index, { head: hidden + sampled, middle }, options),
    boxes?.picture?.colour ?? containerColour(path, stream.index, options),
    bitstreamFacts(path, stream.index, codec, options, boxes?.head),
  ]);
  const pictures = hides
    ? withoutHiddenPictures(packets, headFrames, sampled)
    : isInFields
      ? withoutSecondFields(packets, headFrames, sampled)
      : packets;
  const coded = codedFormat(stream, headFrames[0]);
  const described = describePixelFormat(coded.pixelFormat);
  if (described === null) {
    throw unreadable(path, `its pixel format is ${coded.pixelFormat}, which goodgate does not support`);
  }
  const { rate, constant } = presentedRate(stream, pictures);
  const stated = statedScan(
    codec,
    containerFieldOrder(stream.field_order, boxes?.picture === null ? undefined : boxes?.picture.scan),
    [...headFrames.slice(0, PACKETS), ...middleFrames],
  );
  const scan = scanByPicture(
    stated,
    stated.open === 'nothing' ? null : await votesOfMotion(path, stream.index, options),
  );
  const aspect = sampleAspectOf(stream, boxes, inside.sampleAspect);
  const bitstream = inside.colour;
  const hdr = hdrFacts(stream.side_data_list, headFrames[0]?.side_data_list ?? [], inside);
  const extras = pictureExtras([
    ...stream.side_data_list,
    ...[...headFrames, ...middleFrames].flatMap((frame) => frame.side_data_list),
  ]);
  const raw = stream.bits_per_raw_sample ?? 0;

  const colour = asDecoded(joinLayers(bitstream, container, tagsOf(stream)), described.rgb);

  const notes = [...contradictions(bitstream, container), ...hdr.notes];
  if (colour.note !== null) notes.push(colour.note);
  if (scan.note !== null) notes.push(scan.note);
  if (aspect.note !== null) notes.push(aspect.note);
  if (coded.note !== null) notes.push(coded.note);
  const bitDepth = raw > 0 && raw < described.bitDepth ? raw : described.bitDepth;
  const samples = samplesContradiction(boxes?.picture?.samples ?? null, {
    bitDepth,
    chroma: described.chroma,
  });
  if (samples !== null) notes.push(`samples: ${samples}`);
  if (still) notes.push('it is a still picture');
  if (headFrames.length === 0) notes.push('none of its first frames could be decoded');
  if (constant === false) notes.push('its frame rate is not constant');

  const facts: VideoFacts = {
    stream: stream.index,
    codec,
    profile: known(stream.profile),
    width: coded.width,
    height: coded.height,
    sampleAspect: aspect.aspect,
    displayAspect: displayAspect(aspect.aspect, coded),
    frameRate: still || rate === null ? null : formatRational(rate),
    constantRate: still ? null : constant,
    ...(still || rate === null ? {} : steadyOf(pictures, rate, file, boxes?.packets?.lastSeconds ?? null)),
    scan: scan.scan,
    durationSeconds: still ? null : duration,
    frames: still ? 1 : pictures.count,
    framesFrom: still ? 'container' : pictures.from,
    pixelFormat: coded.pixelFormat,
    bitDepth,
    chroma: described.chroma,
    ...orientationOf(stream.side_data_list),
    colour: colour.colour,
    colourByLayer: { container, bitstream },
    hdr: hdr.hdr,
    chromaLocation: known(stream.chroma_location),
    ...extras,
    captions: extras.captions || stream.closed_captions === true,
  };
  return { facts, bitstream: inside, notes };
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

/**
 * A decoded frame takes precedence over the container; for some codecs ffprobe reports only the container.
 */
function codedFormat(stream: ProbedStream, head: ProbedFrame | undefined): CodedFormat {
  const declared = {
    width: stream.width ?? 0,
    height: stream.height ?? 0,
    pixelFormat: stream.pix_fmt ?? '',
  };
  const seen = {
    width: head?.width || declared.width,
    height: head?.height || declared.height,
    pixelFormat: head?.pix_fmt ?? declared.pixelFormat,
  };
  const differs = seen.width !== declared.width || seen.height !== declared.height;
  const note = `the container declares ${declared.width} x ${declared.height}, the frames are ${seen.width} x ${seen.height}`;
  return { ...seen, note: differs ? note : null };
}

/**
 * ffprobe reports no pixel format where it has no decoder, but also where the decoder gives no frame.
 */
async function whyUndecoded(
  path: string,
  stream: number,
  codec: string,
  options: ProbeOptions,
): Promise<string> {
  if (codec === 'unknown') return 'this ffmpeg does not know the codec of its picture';
  const packets = await listPackets(path, stream, options);
  return packets === null || packets.count === 0
    ? `it declares a picture (${codec}) but has none: the header of a recording in segments, or cut short`
    : `no frame (${codec}) can be decoded: damaged, encrypted, or not supported by this ffmpeg`;
}

/** A still picture: image2 reads one as a clip of one frame with an invented rate. */
function isStill(file: ProbedFile): boolean {
  const format = file.format?.format_name ?? '';
  return format === 'image2' || format.endsWith('_pipe');
}

function mayBeFields(codec: string, { field_order: order }: ProbedStream): boolean {
  return CODES_FIELDS.has(codec) && order !== 'progressive';
}

/**
 * Where only the first frames were read, the average of the container shows whether the rate is the same
 * after them.
 */
function presentedRate(
  stream: ProbedStream,
  { times, isWhole }: PresentedPictures,
): { readonly rate: Rational | null; readonly constant: boolean | null } {
  const stated = statedRates(stream);
  const found = times === null ? { rate: stated[0] ?? null, constant: null } : rateOf(times, stated);
  const average = parseRational(stream.avg_frame_rate ?? '');
  if (isWhole || found.constant !== true || found.rate === null || average === null || average.num === 0) {
    return found;
  }
  return { ...found, constant: Math.abs(toNumber(average) / toNumber(found.rate) - 1) < SAME_RATE };
}

/**
 * Needed where frame times do not fit the rate, and where the last frame is very short: ffmpeg would drop
 * that one.
 */
function steadyOf(
  { times, isWhole }: PresentedPictures,
  rate: Rational,
  file: ProbedFile,
  lastSeconds: number | null,
): Pick<VideoFacts, 'steady'> {
  if (times === null || !isWhole) return {};
  const { ticks, timeBase } = times;
  const lastFrames = lastSeconds === null ? 1 : lastSeconds * toNumber(rate);
  if (isOnGrid(ticks, rate, timeBase) && lastFrames > 0.6) return {};
  const origin = Math.round(((file.format?.start_time ?? 0) * timeBase.den) / timeBase.num);
  const steady = steadyRate(times, rate, origin);
  if (steady === null) return {};
  const hold = lastSeconds === null ? 1 : Math.max(1, Math.round(lastSeconds * toNumber(steady.rate)));
  const { round, places } = steady;
  return { steady: { rate: formatRational(steady.rate), round, frames: places + hold - 1, hold } };
}

/**
 * For the sample aspect the container takes precedence over the bitstream, as in players and in ffmpeg,
 * except where a "pasp" comes with a track header that scales the picture.
 */
function sampleAspectOf(
  stream: ProbedStream,
  boxes: BoxReading | null,
  bitstream: string | null,
): { readonly aspect: string | null; readonly note: string | null } {
  const aspect = boxes?.picture?.sampleAspect ?? knownAspect(stream.sample_aspect_ratio);
  if (aspect === null || bitstream === null || bitstream === aspect) return { aspect, note: null };
  const note = `sample aspect: the container declares ${aspect}, which is used, the bitstream ${bitstream}`;
  return { aspect, note };
}

function displayAspect(sampleAspect: string | null, { width, height }: CodedFormat): string | null {
  const sample = parseRational(sampleAspect ?? '');
  return sample === null ? null : formatRational(rational(width * sample.num, height * sample.den));
}
