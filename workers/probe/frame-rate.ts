import { parseRational, type Rational, rational, toNumber } from '../../signal/rational.js';
import type { ProbedStream } from './ffprobe-output.js';

export interface RateFacts {
  readonly rate: Rational | null;
  readonly constant: boolean | null;
}

/** Packets whose later neighbours may still be missing: the longest reordering a codec in use does. */
const REORDER = 16;
/** Mean and nominal rate of a stream that means to keep it. Less than from 24 to 25. */
const ABOUT_THE_RATE = 0.01;
/** Ticks a second of the coarsest clock in use that does not count frames: Matroska's. */
const SLOWEST_CLOCK = 1000;
/** Average and nominal rate differ by less than this for a constant rate; 24 and 24000/1001 differ by 1/1001. */
const SAME_RATE = 0.0004;

/**
 * Frame rate, and whether it is constant, from the time stamps of the first packets and the two rates the
 * container gives.
 *
 * `r_frame_rate` is the finest grid the stamps fit (the field rate for some interlaced clips), `avg_frame_rate`
 * is frames over duration. Neither alone is proof: the packets decide which one is the rate, and the average
 * tells whether it holds beyond them. A container with a coarse clock (1/1000 s) rounds each stamp, so a stamp
 * may be one tick off the ideal place; where the frame lasts a whole number of ticks it may not.
 */
export function rateFacts(
  stream: ProbedStream,
  packetTimes: readonly number[],
  allPackets: boolean,
): RateFacts {
  const nominal = positive(stream.r_frame_rate);
  const average = positive(stream.avg_frame_rate);
  const timeBase = positive(stream.time_base);
  const sorted = [...packetTimes].sort((a, b) => a - b);
  const times = allPackets ? sorted : sorted.slice(0, -REORDER);
  if (timeBase === null || times.length < 3) return { rate: average ?? stated(nominal), constant: null };

  const candidates = [average, nominal, nominal && half(nominal), exactRate(times, timeBase)];
  const rate = candidates.find((candidate) => candidate !== null && fits(times, candidate, timeBase)) ?? null;
  if (rate === null)
    return { rate: around(times, timeBase, nominal) ?? average ?? stated(nominal), constant: false };
  const holds = average === null ? null : Math.abs(toNumber(average) / toNumber(rate) - 1) < SAME_RATE;
  return { rate, constant: holds };
}

/**
 * The nominal rate, or half of it, where the stamps keep it but for a little: a gap or a jitter. The container's average may be far
 * off then, where an edit list or fragments make its duration another than that of the frames.
 */
function around(times: readonly number[], timeBase: Rational, nominal: Rational | null): Rational | null {
  const ticks = ((times.at(-1) ?? 0) - (times[0] ?? 0)) * toNumber(timeBase);
  if (nominal === null || ticks <= 0) return null;
  const mean = (times.length - 1) / ticks;
  const near = [nominal, half(nominal)].find((rate) => Math.abs(mean / toNumber(rate) - 1) < ABOUT_THE_RATE);
  return near ?? null;
}

function positive(text: string | undefined): Rational | null {
  const value = text === undefined ? null : parseRational(text);
  return value === null || value.num === 0 ? null : value;
}

/** The nominal rate, unless it is the tick of the container's clock, which ffprobe gives where it knows no rate. */
function stated(nominal: Rational | null): Rational | null {
  return nominal === null || toNumber(nominal) >= SLOWEST_CLOCK ? null : nominal;
}

function half(rate: Rational): Rational {
  return rational(rate.num, rate.den * 2);
}

/** The rate whose frames last exactly as many ticks as the first two stamps are apart. */
function exactRate(times: readonly number[], timeBase: Rational): Rational | null {
  const ticks = (times[1] ?? 0) - (times[0] ?? 0);
  return ticks > 0 ? rational(timeBase.den, timeBase.num * ticks) : null;
}

function fits(times: readonly number[], rate: Rational, timeBase: Rational): boolean {
  const frame = rational(rate.den, rate.num);
  const ticks = (frame.num * timeBase.den) / (frame.den * timeBase.num);
  const tolerance = Number.isInteger(ticks) ? 0 : 1;
  const first = times[0] ?? 0;
  return times.every((time, index) => Math.abs(time - first - index * ticks) <= tolerance);
}
