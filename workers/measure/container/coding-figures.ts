import type { Coding } from '../../../jobs/measurement/measured-container.js';
import type { Packets } from '../../probe/packets.js';

/** Flags of the decoded frames of the whole file. */
export interface DecodedPictures {
  readonly frames: number;
  /** Frames whose type the decoder reported. */
  readonly typed: number;
  readonly key: number;
  readonly intra: number;
  readonly keyNotIntra: number;
}

/**
 * Codecs in which a picture coded after a key frame but presented before it may still not refer to anything
 * before it.
 */
const LEADING_MAY_STAND_ALONE: ReadonlySet<string> = new Set(['hevc', 'mpeg2video', 'vvc']);

/**
 * Group of pictures, bit rate and time stamps of a coded picture. Pure.
 *
 * A group is open when a picture coded after its key frame is presented before it: in H.264 that picture
 * refers to the previous group. In MPEG-2 and HEVC it may not, which its position does not show: `closed` is
 * then null. It is null too with a key frame that is no intra picture (gradual refresh).
 */
export function codingFigures(codec: string, packets: Packets, decoded: DecodedPictures): Coding {
  const { count, key, timeBase } = packets;
  const allTyped = decoded.frames > 0 && decoded.typed === decoded.frames;
  return {
    packets: count,
    keyFrames: {
      container: key.reduce((sum, flag) => sum + flag, 0),
      bitstream: allTyped ? decoded.key : null,
    },
    intraOnly: allTyped ? decoded.intra === decoded.frames : null,
    gop: gopOf(codec, packets, allTyped && decoded.keyNotIntra === 0),
    bitRate: bitRateOf(packets, timeBase.num / timeBase.den),
    timestamps: stampFaults(packets),
  };
}

/**
 * Lengths are counted in presentation order: in coded order the first pictures of an open group come after
 * the next key frame.
 */
function gopOf(
  codec: string,
  { count, key, presentationTimes }: Packets,
  keysAreIntra: boolean,
): Coding['gop'] {
  const timesKnown = !presentationTimes.some(Number.isNaN);
  const order = Uint32Array.from({ length: count }, (_, packet) => packet);
  if (timesKnown) order.sort((a, b) => (presentationTimes[a] ?? 0) - (presentationTimes[b] ?? 0));
  const starts: number[] = [];
  order.forEach((packet, shown) => {
    if (key[packet] === 1) starts.push(shown);
  });
  if (starts.length === 0) return null;
  const lengths = starts.map((start, i) => (starts[i + 1] ?? count) - start);
  const whole = lengths.slice(0, -1);
  return {
    shortest: whole.length === 0 ? null : lowest(whole),
    longest: highest(lengths),
    closed: hasLeading(key, presentationTimes)
      ? LEADING_MAY_STAND_ALONE.has(codec)
        ? null
        : false
      : timesKnown && keysAreIntra
        ? true
        : null,
  };
}

/**
 * Whether a picture is coded after a key frame and presented before it. Before the first one nothing is coded
 * that it could refer to.
 */
function hasLeading(key: Uint8Array, times: Float64Array): boolean {
  let keys = 0;
  let shown = Number.NaN;
  return times.some((time, packet) => {
    if (key[packet] === 1) {
      keys++;
      shown = time;
    }
    return keys > 1 && time < shown;
  });
}

/**
 * Bytes by decoding time, when a player must have them. Where a container has no decoding times (Matroska),
 * sorted presentation times are used: they differ by the constant delay of reordering.
 */
function bitRateOf(packets: Packets, tickSeconds: number): Coding['bitRate'] {
  const { count, bytes } = packets;
  const times = packets.decodeTimes.some(Number.isNaN)
    ? packets.presentationTimes.slice().sort()
    : packets.decodeTimes;
  const first = times[0] ?? Number.NaN;
  const last = times[count - 1] ?? Number.NaN;
  if (count < 2 || !(last > first)) return null;
  const total = bytes.reduce((sum, size) => sum + size, 0);
  // The last packet gets the average duration of the others.
  const span = ((last - first) * count) / (count - 1);
  return {
    mean: (total * 8) / (span * tickSeconds),
    peak: peakOf(bytes, times, first + span, 1 / tickSeconds),
  };
}

/** The most bits in any second of the stream; null for a shorter stream. */
function peakOf(bytes: Uint32Array, times: Float64Array, end: number, secondTicks: number): number | null {
  let peak: number | null = null;
  let to = 0;
  let sum = 0;
  for (let from = 0; from < bytes.length; from++) {
    const start = times[from] ?? Number.NaN;
    // Half a tick: the end is a mean, the clock may round.
    if (Number.isNaN(start) || start + secondTicks > end + 0.5) break;
    while (to < bytes.length && (times[to] ?? Number.NaN) < start + secondTicks) sum += bytes[to++] ?? 0;
    peak = Math.max(peak ?? 0, sum * 8);
    sum -= bytes[from] ?? 0;
  }
  return peak;
}

function stampFaults({ decodeTimes, presentationTimes }: Packets): Coding['timestamps'] {
  let missing = 0;
  let backward = 0;
  let last = Number.NEGATIVE_INFINITY;
  for (const time of decodeTimes) {
    if (Number.isNaN(time)) continue;
    if (time <= last) backward++;
    last = time;
  }
  const shown = presentationTimes.filter((time) => {
    const isMissing = Number.isNaN(time);
    if (isMissing) missing++;
    return !isMissing;
  });
  shown.sort();
  let repeated = 0;
  for (let i = 1; i < shown.length; i++) if (shown[i] === shown[i - 1]) repeated++;
  return { missing, repeated, backward };
}

function lowest(values: readonly number[]): number {
  return values.reduce((low, value) => Math.min(low, value), Number.POSITIVE_INFINITY);
}

function highest(values: readonly number[]): number {
  return values.reduce((high, value) => Math.max(high, value), 0);
}
