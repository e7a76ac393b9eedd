import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import { startText } from '../../../../jobs/words/places.js';
import { parseRational, type Rational, toNumber } from '../../../../signal/rational.js';
import {
  advanceTimecode,
  formatTimecode,
  frameOfTimecode,
  framesPerDay,
  nominalRate,
  parseTimecode,
  type Timecode,
  timecodeFault,
} from '../../../../signal/timecode.js';

export interface Tick {
  readonly at: number;
  readonly label: string;
}

/**
 * The axis every plot over time shares: frames from 0, labelled by timecode where the file has one and by
 * frame number where it has none. A file without picture runs in seconds.
 */
export interface TimeAxis {
  readonly unit: 'timecode' | 'frame' | 'time';
  /** Axis units: frames, or seconds where there is no picture. */
  readonly length: number;
  /**
   * Axis units that pass in a second; null where the rate is unknown, so that sound has no place on the axis.
   */
  readonly perSecond: number | null;
  /** Round places, at most `most` of them (the axis's own start counts only where it is one). */
  readonly ticks: (most: number) => readonly Tick[];
  /** One place in words: `10:00:03:12 (frame 87)`. */
  readonly placeOf: (at: number) => string;
}

/** Null for a file in which nothing lasts: no picture of two frames or more, and no sound. */
export function timeAxisOf({ video, container, audio }: Measurement): TimeAxis | null {
  if (video === null || video.frames === 0) {
    const seconds = Math.max(0, ...audio.map((stream) => stream.durationSeconds));
    return seconds > 0 ? secondsAxis(seconds) : null;
  }
  const rate = video.frameRate === null ? null : parseRational(video.frameRate);
  const perSecond = rate === null ? null : toNumber(rate);
  const length = video.frames;
  const start =
    rate === null || container.startTimecode === null
      ? null
      : parseTimecode(container.startTimecode, rate).timecode;
  return start === null
    ? framesAxis(length, perSecond)
    : { ...timecodeAxis(start, length), length, perSecond };
}

function secondsAxis(length: number): TimeAxis {
  return {
    unit: 'time',
    length,
    perSecond: 1,
    ticks: (most) => every(stepFor(length, most, SECONDS), length).map((at) => ({ at, label: clock(at) })),
    placeOf: clock,
  };
}

function framesAxis(length: number, perSecond: number | null): TimeAxis {
  return {
    unit: 'frame',
    length,
    perSecond,
    ticks: (most) =>
      every(stepFor(length, most, ROUND_FRAMES), length).map((at) => ({
        at,
        label: `frame ${at}`,
      })),
    placeOf: (at) => startText({ from: at, fromTimecode: null }),
  };
}

function timecodeAxis(start: Timecode, length: number): Pick<TimeAxis, 'unit' | 'ticks' | 'placeOf'> {
  const nominal = nominalRate(start.rate) ?? 1;
  const labelOf = (frame: number): string => formatTimecode(advanceTimecode(start, frame));
  return {
    unit: 'timecode',
    ticks: (most) => {
      const seconds = stepFor(length / nominal, most, SECONDS);
      const whole = length > nominal * 2 ? roundSeconds(start, length, seconds) : [];
      const places = whole.length >= 2 ? whole : every(stepFor(length, most, SHORT_FRAMES), length);
      return places.map((at) => ({ at, label: labelOf(at) }));
    },
    placeOf: (at) => startText({ from: at, fromTimecode: labelOf(at) }),
  };
}

const SECONDS = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14_400];
const ROUND_FRAMES = Array.from({ length: 8 }, (_, power) => [1, 2, 5].map((n) => n * 10 ** power)).flat();
const SHORT_FRAMES = [1, 2, 5, 10, 20, 50, 100];

/** The finest of the steps that gives at most `most` places; the coarsest where even that gives more. */
function stepFor(length: number, most: number, steps: readonly number[]): number {
  return steps.find((step) => Math.ceil(length / step) <= most) ?? Math.max(...steps);
}

function every(step: number, length: number): number[] {
  return Array.from({ length: Math.floor(length / step) + 1 }, (_, n) => n * step).filter(
    (at) => at < length,
  );
}

/**
 * Frames at which the labels' seconds are round, so that an axis that begins at 09:59:47:12 is marked at
 * 10:00:00:00. Labels that drop frame skips give way to the first one after.
 */
function roundSeconds(start: Timecode, length: number, step: number): number[] {
  const first = start.hours * 3600 + start.minutes * 60 + start.seconds + (start.frames > 0 ? 1 : 0);
  const startFrame = frameOfTimecode(start);
  const day = framesPerDay(start.rate, start.dropFrame);
  const places: number[] = [];
  for (let seconds = Math.ceil(first / step) * step; ; seconds += step) {
    const frame = frameOfTimecode(labelAt(start.rate, start.dropFrame, seconds % 86_400));
    const at = frame - startFrame + (seconds >= 86_400 ? day * Math.floor(seconds / 86_400) : 0);
    if (at >= length) return places;
    places.push(at);
  }
}

function labelAt(rate: Rational, dropFrame: boolean, seconds: number): Timecode {
  for (let frames = 0; ; frames += 1) {
    const label = {
      hours: Math.floor(seconds / 3600),
      minutes: Math.floor(seconds / 60) % 60,
      seconds: seconds % 60,
      frames,
      rate,
      dropFrame,
    };
    // Drop frame skips four labels at most.
    if (frames > 4 || timecodeFault(label) === null) return label;
  }
}

function clock(seconds: number): string {
  const whole = Math.floor(seconds);
  const two = (value: number): string => String(value).padStart(2, '0');
  const minutes = `${two(Math.floor(whole / 60) % 60)}:${two(whole % 60)}`;
  return `${Math.floor(whole / 3600)}:${minutes}`;
}
