import { equalRationals, formatRational, type Rational, rational } from './rational.js';

/**
 * Time code labels and frame counts, after SMPTE ST 12-1:2014 (and ST 12-3:2016 for rates above 30).
 *
 * A timecode is a label, not a time: at 30000/1001 one hour of non-drop timecode takes 3603.6 s. Calculations
 * use frame counts; labels are only read and written.
 */
export interface Timecode {
  readonly hours: number;
  readonly minutes: number;
  readonly seconds: number;
  readonly frames: number;
  /** Exact frames a second: 30000/1001, not 29.97. */
  readonly rate: Rational;
  readonly dropFrame: boolean;
}

/** A timecode read from text, or why it is not valid. */
export type TimecodeReading =
  | { readonly timecode: Timecode; readonly reason: null }
  | { readonly timecode: null; readonly reason: string };

const HIGHEST_NOMINAL_RATE = 120;
const MINUTES_PER_DAY = 24 * 60;

/**
 * Labels dropped at the start of each minute but every tenth (ST 12-1, clause on drop-frame compensation):
 * frames 00 and 01 at 29.97, 00 to 03 at 59.94. No other rate has a drop-frame count.
 */
const DROP_FRAME_RATES: readonly { readonly rate: Rational; readonly dropped: number }[] = [
  { rate: rational(30000, 1001), dropped: 2 },
  { rate: rational(60000, 1001), dropped: 4 },
];

/**
 * Labels in one second of counting: 30 for 30000/1001. Null where a rate has no time code: it must be a whole
 * number up to 120 or that number times 1000/1001.
 */
export function nominalRate(rate: Rational): number | null {
  const nominal = Math.ceil(rate.num / rate.den);
  if (nominal < 1 || nominal > HIGHEST_NOMINAL_RATE) return null;
  const whole = equalRationals(rate, rational(nominal));
  return whole || equalRationals(rate, rational(nominal * 1000, 1001)) ? nominal : null;
}

/** Whether a rate has a drop-frame count: 30000/1001 and 60000/1001 have. */
export function supportsDropFrame(rate: Rational): boolean {
  return droppedPerMinute(rate) > 0;
}

/**
 * Frames in 24 hours of labels. Throws RangeError for a rate without time code, or drop frame at a rate
 * without it.
 */
export function framesPerDay(rate: Rational, dropFrame: boolean): number {
  return countOf(rate, dropFrame).day;
}

/**
 * The label of a frame, counted from midnight (00:00:00:00 is frame 0). Wraps at 24 hours in both directions.
 * Throws RangeError for a frame that is not a whole number, a rate without time code, or drop frame where
 * none is.
 */
export function timecodeOfFrame(frame: number, rate: Rational, dropFrame = false): Timecode {
  if (!Number.isSafeInteger(frame)) throw new RangeError(`frame ${frame} is not a whole number`);
  const count = countOf(rate, dropFrame);
  const label = labelNumber(((frame % count.day) + count.day) % count.day, count);
  const totalSeconds = Math.floor(label / count.nominal);
  return {
    hours: Math.floor(totalSeconds / 3600),
    minutes: Math.floor(totalSeconds / 60) % 60,
    seconds: totalSeconds % 60,
    frames: label % count.nominal,
    rate,
    dropFrame,
  };
}

/**
 * The frame of a label, counted from midnight. Throws RangeError where the label does not exist (see
 * timecodeFault).
 */
export function frameOfTimecode(timecode: Timecode): number {
  const fault = timecodeFault(timecode);
  if (fault !== null) throw new RangeError(fault);
  const { hours, minutes, seconds, frames, rate, dropFrame } = timecode;
  const { nominal, dropped } = countOf(rate, dropFrame);
  const totalMinutes = hours * 60 + minutes;
  const label = (totalMinutes * 60 + seconds) * nominal + frames;
  return label - dropped * (totalMinutes - Math.floor(totalMinutes / 10));
}

/** The label `frames` later (earlier where negative), past midnight and back. */
export function advanceTimecode(timecode: Timecode, frames: number): Timecode {
  return timecodeOfFrame(frameOfTimecode(timecode) + frames, timecode.rate, timecode.dropFrame);
}

/** Why a label does not exist at its rate, or null where it does. */
export function timecodeFault(timecode: Timecode): string | null {
  const { hours, minutes, seconds, frames, rate, dropFrame } = timecode;
  const nominal = nominalRate(rate);
  if (nominal === null) return noTimecodeAt(rate);
  if (dropFrame && !supportsDropFrame(rate)) return noDropFrameAt(rate);
  const fields: readonly (readonly [string, number, number])[] = [
    ['hours', hours, 23],
    ['minutes', minutes, 59],
    ['seconds', seconds, 59],
    ['frames', frames, nominal - 1],
  ];
  for (const [field, value, highest] of fields) {
    if (!Number.isInteger(value) || value < 0 || value > highest) {
      return `${field} ${value}: 0 to ${highest} are allowed at ${formatRational(rate)} frames a second`;
    }
  }
  const dropped = dropFrame ? droppedPerMinute(rate) : 0;
  if (seconds === 0 && minutes % 10 !== 0 && frames < dropped) {
    return `${formatTimecode(timecode)} is one of the labels drop frame skips: minute ${minutes} begins with frame ${dropped}`;
  }
  return null;
}

/**
 * Reads `HH:MM:SS:FF` (non-drop) or `HH:MM:SS;FF` (drop frame; a `.` or `,` before the frames and `;`
 * throughout mean the same). Frames have three digits at rates above 100.
 */
export function parseTimecode(text: string, rate: Rational): TimecodeReading {
  const match = /^(\d{2})([:;])(\d{2})\2(\d{2})([:;.,])(\d{2,3})$/.exec(text.trim());
  if (!match) {
    return refuse(`"${text}" is not a time code: write HH:MM:SS:FF, or HH:MM:SS;FF for drop frame`);
  }
  const [, hours, , minutes, seconds, lastSeparator, frames] = match;
  const timecode: Timecode = {
    hours: Number(hours),
    minutes: Number(minutes),
    seconds: Number(seconds),
    frames: Number(frames),
    rate,
    dropFrame: lastSeparator !== ':',
  };
  const fault = timecodeFault(timecode);
  return fault === null ? { timecode, reason: null } : refuse(fault);
}

/** `01:00:00:00`, or `01:00:00;00` for drop frame; three frame digits at rates above 100. */
export function formatTimecode({ hours, minutes, seconds, frames, rate, dropFrame }: Timecode): string {
  const two = (value: number): string => String(value).padStart(2, '0');
  const frameDigits = (nominalRate(rate) ?? 0) > 100 ? 3 : 2;
  const clock = `${two(hours)}:${two(minutes)}:${two(seconds)}`;
  return `${clock}${dropFrame ? ';' : ':'}${String(frames).padStart(frameDigits, '0')}`;
}

interface LabelCount {
  readonly nominal: number;
  readonly dropped: number;
  /** Frames in one minute with dropped labels, in ten minutes, in a day. */
  readonly minute: number;
  readonly tenMinutes: number;
  readonly day: number;
}

function countOf(rate: Rational, dropFrame: boolean): LabelCount {
  const nominal = nominalRate(rate);
  if (nominal === null) throw new RangeError(noTimecodeAt(rate));
  if (dropFrame && !supportsDropFrame(rate)) throw new RangeError(noDropFrameAt(rate));
  const dropped = dropFrame ? droppedPerMinute(rate) : 0;
  const tenMinutes = 600 * nominal - 9 * dropped;
  return {
    nominal,
    dropped,
    minute: 60 * nominal - dropped,
    tenMinutes,
    day: (MINUTES_PER_DAY / 10) * tenMinutes,
  };
}

/** The number a frame's label would have if none were dropped. */
function labelNumber(frame: number, { dropped, minute, tenMinutes }: LabelCount): number {
  const tens = Math.floor(frame / tenMinutes);
  // The first of each ten minutes keeps all its labels, so it is `dropped` frames longer than the other nine.
  const minutes = Math.max(0, Math.floor(((frame % tenMinutes) - dropped) / minute));
  return frame + dropped * (9 * tens + minutes);
}

function droppedPerMinute(rate: Rational): number {
  return DROP_FRAME_RATES.find((entry) => equalRationals(entry.rate, rate))?.dropped ?? 0;
}

function noTimecodeAt(rate: Rational): string {
  return `${formatRational(rate)} frames a second has no time code: whole rates to ${HIGHEST_NOMINAL_RATE} have, and those times 1000/1001`;
}

function noDropFrameAt(rate: Rational): string {
  return `drop frame exists at 30000/1001 and 60000/1001 frames a second, not at ${formatRational(rate)}`;
}

function refuse(reason: string): TimecodeReading {
  return { timecode: null, reason };
}
