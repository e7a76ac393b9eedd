import { parseRational, type Rational } from '../../signal/rational.js';
import type { BoxReading } from './boxes/read-boxes.js';
import { type ProbedFrame, type ProbedStream, probedPackets } from './ffprobe-output.js';
import { type PictureTimes, rateOf, stepTicks } from './frame-rate.js';
import { listPackets } from './list-packets.js';
import { type ProbeOptions, runFfprobe } from './run-ffprobe.js';

/**
 * The frames of a stream that are presented, without those an edit list hides; second fields are not counted.
 */
export interface PresentedPictures {
  /** Null where packets have no time stamps. */
  readonly times: PictureTimes | null;
  /** Whether the times are those of all frames, not only of the first ones. */
  readonly isWhole: boolean;
  readonly count: number | null;
  readonly from: 'container' | 'packets' | null;
  /** Packets at the head that are decoded but not shown. */
  readonly hidden: number;
}

/** Packets whose times are read where the container declares the number of frames. */
const PACKETS = 240;
/** Packets at the end that may be presented after later ones: the longest reordering of any codec. */
const REORDER = 16;
/** Listing packets reads the whole file, which takes long. */
const LIST_TIMEOUT_MS = 30 * 60_000;

/**
 * When frames are presented: from the tables of MOV and MP4; otherwise from the first packets where the
 * container declares the number of frames; otherwise from all packets, which reads the whole file.
 */
export async function presentedPackets(
  path: string,
  stream: ProbedStream,
  boxes: BoxReading | null,
  options: ProbeOptions,
): Promise<PresentedPictures> {
  if (boxes?.times && boxes.packets) {
    const { length } = boxes.times.ticks;
    return {
      times: boxes.times,
      isWhole: true,
      count: length,
      from: 'container',
      hidden: Math.max(0, boxes.packets.count - length),
    };
  }
  const timeBase = parseRational(stream.time_base ?? '');
  // In a fragmented file the index counts only the frames before the first fragment.
  const isFragmented = (boxes?.wrapper.fragments ?? 0) > 0;
  const declared = isFragmented ? null : declaredCount(stream);
  if (declared !== null) {
    const head = await firstPackets(path, stream.index, options);
    const isWhole = head.read < PACKETS;
    const ticks = isWhole ? head.ticks : head.ticks.slice(0, -REORDER);
    return {
      times: timeBase === null || ticks.length === 0 ? null : { ticks, timeBase },
      isWhole,
      count: declared,
      from: 'container',
      hidden: head.hidden,
    };
  }
  const timeoutMs = Math.max(options.timeoutMs ?? 0, LIST_TIMEOUT_MS);
  const packets = await listPackets(path, stream.index, { ...options, timeoutMs });
  if (packets === null) return { times: null, isWhole: false, count: null, from: null, hidden: 0 };
  const isShown = (packet: number): boolean => packets.hidden?.[packet] !== 1;
  const shown = packets.presentationTimes.filter((time, packet) => isShown(packet) && !Number.isNaN(time));
  const firstShown = packets.presentationTimes.findIndex((_, packet) => isShown(packet));
  const count = packets.presentationTimes.filter((_, packet) => isShown(packet)).length;
  return {
    times: shown.length === 0 ? null : { ticks: shown.sort(), timeBase: packets.timeBase },
    isWhole: true,
    count,
    from: 'packets',
    hidden: Math.max(0, firstShown),
  };
}

/** Frames the container declares: as a number, or as a duration in frames (MXF edit units). */
function declaredCount(stream: ProbedStream): number | null {
  if (stream.nb_frames) return stream.nb_frames;
  const timeBase = parseRational(stream.time_base ?? '');
  const grid = parseRational(stream.r_frame_rate ?? '');
  const inFrames = timeBase && grid && timeBase.num === grid.den && timeBase.den === grid.num;
  return stream.duration_ts && inFrames ? stream.duration_ts : null;
}

async function firstPackets(path: string, stream: number, options: ProbeOptions) {
  const args = ['-select_streams', String(stream), '-read_intervals', `%+#${PACKETS}`];
  args.push('-show_packets', '-show_entries', 'packet=pts,flags');
  const { packets } = await runFfprobe(path, args, probedPackets, options);
  const isHidden = ({ flags }: { flags: string }): boolean => flags[1] === 'D';
  const ticks = packets.flatMap((packet) => (packet.pts == null || isHidden(packet) ? [] : [packet.pts]));
  const shown = packets.findIndex((packet) => !isHidden(packet));
  return { read: packets.length, ticks: ticks.sort((a, b) => a - b), hidden: Math.max(0, shown) };
}

/**
 * Codecs that may code the two fields of a frame separately, each in a packet of its own in streams without a
 * table.
 */
export const CODES_FIELDS: ReadonlySet<string> = new Set(['h264', 'mpeg2video', 'vc1', 'cavs']);
/** A packet nearer to the previous one than this fraction of a frame is no frame of its own. */
const NOT_ITS_OWN = 0.75;

/**
 * Removes second fields where packets may be fields, by comparing packets with the frames decoded from the
 * first of them. `decoded` packets gave `frames`; both fields of a frame give one.
 */
export function withoutSecondFields(
  pictures: PresentedPictures,
  frames: readonly ProbedFrame[],
  decoded: number,
): PresentedPictures {
  const { times, count } = pictures;
  const stamps = frames.flatMap(({ best_effort_timestamp: time }) => (time == null ? [] : [time]));
  // Frames whose references are missing are not decoded: only about half as many frames as packets means
  // fields.
  const inPairs = frames.length >= 2 && frames.length < 0.7 * Math.min(decoded, count ?? decoded);
  if (times === null || stamps.length < 3) {
    return inPairs && count !== null ? { ...pictures, count: Math.ceil(count / 2) } : pictures;
  }
  const { rate } = rateOf({ ticks: stamps.sort((a, b) => a - b), timeBase: times.timeBase }, []);
  return rate === null ? pictures : onePerStep(pictures, times, rate);
}

/**
 * Codecs with pictures that are only there for others to be predicted from, each in a packet of its own: VP8
 * (RFC 6386, 9.1: `show_frame`). VP9 packs them with the next that is shown.
 */
const HIDES_PICTURES: ReadonlySet<string> = new Set(['vp8']);

export function mayHidePictures(codec: string): boolean {
  return HIDES_PICTURES.has(codec);
}

/**
 * Removes pictures that are never shown, whose packets have the time of the next or one before it. The first
 * `decoded` packets gave `frames`: where none was missing, or those that came keep no rate, all are left.
 */
export function withoutHiddenPictures(
  pictures: PresentedPictures,
  frames: readonly ProbedFrame[],
  decoded: number,
): PresentedPictures {
  const { times, count } = pictures;
  if (times === null || frames.length >= Math.min(decoded, count ?? decoded)) return pictures;
  const stamps = frames.flatMap(({ best_effort_timestamp: time }) => (time == null ? [] : [time]));
  const { rate, constant } = rateOf({ ticks: stamps.sort((a, b) => a - b), timeBase: times.timeBase }, []);
  return rate === null || constant !== true ? pictures : onePerStep(pictures, times, rate);
}

/** Leaves out each picture that is nearer to the one before than a frame of the rate should be. */
function onePerStep(pictures: PresentedPictures, times: PictureTimes, rate: Rational): PresentedPictures {
  const { count } = pictures;
  const step = stepTicks(rate, times.timeBase);
  let last = Number.NEGATIVE_INFINITY;
  const ticks = Float64Array.from(times.ticks).filter((time) => {
    if (time - last < NOT_ITS_OWN * step) return false;
    last = time;
    return true;
  });
  if (ticks.length === times.ticks.length) return pictures;
  const share = ticks.length / times.ticks.length;
  return {
    ...pictures,
    times: { ...times, ticks },
    count: pictures.isWhole ? ticks.length : count === null ? null : Math.round(count * share),
  };
}
