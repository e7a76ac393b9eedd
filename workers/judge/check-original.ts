import type { ClipFacts } from '../../jobs/manifest/facts.js';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import { equalRationals, parseRational, toNumber } from '../../signal/rational.js';
import { sameLabel } from './check-timing.js';
import { doubtAbout } from './doubt.js';
import { count } from './figures.js';
import {
  type Check,
  hold,
  type JudgeContext,
  type Limits,
  met,
  missed,
  type Ruling,
  unmeasured,
  worstOf,
} from './ruling.js';

/** Sound may differ from the original's by a frame of picture, or by the padding of lossy coding (two blocks of 1024 samples) where frames are shorter. */
const SOUND_TOLERANCE_SECONDS = 0.05;

function isMeasured(original: Measurement | ClipFacts): original is Measurement {
  return 'schema' in original;
}

/** Why nothing made from this original can be whole; null when it was measured and is, or was not measured. */
export function damageOf(original: JudgeContext['original']): string | null {
  if (original === undefined || !isMeasured(original)) return null;
  const { truncated, errors } = original.decode;
  if (truncated) {
    const declared = original.video?.framesDeclared ?? null;
    const frames =
      declared === null ? '' : `: ${original.video?.frames ?? 0} of ${count(declared, 'frame')} came out`;
    return `the original ends early${frames}`;
  }
  return errors > 0 ? `the original has ${count(errors, 'decode error')}` : null;
}

function expectation(limits: Limits<'as-original'>): string {
  const parts = [
    limits.frames ? 'frames' : '',
    limits.timecode ? 'start timecode' : '',
    limits.sound === false ? '' : limits.sound === 'all' ? 'all sound' : 'sound',
    limits.bitDepth ? 'bit depth' : '',
  ].filter((part) => part !== '');
  return `${parts.length === 0 ? 'made from a whole original' : `${parts.join(', ')} as the original`}`;
}

export const asOriginal: Check<'as-original'> = (limits, measurement, { original }) => {
  const expected = expectation(limits);
  if (original === undefined) {
    return unmeasured(
      expected,
      'no original to hold it against',
      'Judge the copy together with its original.',
    );
  }
  const damage = damageOf(original);
  if (damage !== null) {
    return missed(
      expected,
      damage,
      'Copy the original again from the card while it is still there, then make this again.',
    );
  }
  const rulings = [
    limits.frames ? framesRuling(expected, measurement, original) : null,
    limits.timecode ? timecodeRuling(expected, measurement, original) : null,
    limits.sound === false ? null : soundRuling(expected, limits.sound === 'all', measurement, original),
    limits.bitDepth ? depthRuling(expected, measurement, original) : null,
  ].filter((ruling) => ruling !== null);
  const [first, ...others] = rulings;
  return first === undefined ? met(expected, 'the original is whole') : worstOf([first, ...others]);
};

function framesRuling(expected: string, measurement: Measurement, original: Measurement | ClipFacts): Ruling {
  if (original.video === null && measurement.video === null)
    return met(expected, 'no picture, as the original');
  const had = original.video?.frames ?? null;
  const has = measurement.video?.frames ?? 0;
  if (had === null) {
    return unmeasured(expected, 'the original declares no frame count', 'Measure the original too.');
  }
  if (!sameRhythm(measurement, original)) return lengthRuling(expected, measurement, original);
  const measured = has === had ? `${count(has, 'frame')}` : `${count(has, 'frame')} of the original's ${had}`;
  return hold(has === had, expected, measured, 'Make the copy again: it does not hold the whole take.');
}

/** Whether every frame of the original is one frame of the copy: a constant rate, kept. */
function sameRhythm(measurement: Measurement, original: Measurement | ClipFacts): boolean {
  if (original.video?.constantRate === false) return false;
  const had = parseRational(original.video?.frameRate ?? '');
  const has = parseRational(measurement.video?.frameRate ?? '');
  return had === null || has === null || equalRationals(had, has);
}

/** Where frames were repeated or dropped to make another rate, the copy must last as long as the original. */
function lengthRuling(expected: string, measurement: Measurement, original: Measurement | ClipFacts): Ruling {
  const had = original.video?.durationSeconds ?? null;
  const has = measurement.video?.durationSeconds ?? null;
  const rate = parseRational(measurement.video?.frameRate ?? '');
  const from = parseRational(original.video?.frameRate ?? '');
  if (had === null || has === null || rate === null || from === null) {
    return unmeasured(expected, 'the rates differ and a length is not known', 'Measure the original too.');
  }
  // One frame of either: the last one of the original may end anywhere within a frame of the copy.
  const tolerance = Math.max(1 / toNumber(rate), 1 / toNumber(from));
  const measured = `${has.toFixed(3)} s at ${measurement.video?.frameRate}, the original's ${had.toFixed(3)} s at ${original.video?.constantRate === false ? 'a variable rate' : original.video?.frameRate}`;
  return hold(
    Math.abs(has - had) <= tolerance,
    expected,
    measured,
    'Make the copy again: it does not hold the whole take.',
  );
}

function timecodeRuling(
  expected: string,
  measurement: Measurement,
  original: Measurement | ClipFacts,
): Ruling {
  const had = original.container.startTimecode;
  const has = measurement.container.startTimecode;
  if (had === null) return met(expected, 'the original has no timecode');
  if (has === null)
    return missed(
      expected,
      `no timecode, the original's is ${had}`,
      'Make the copy again with the timecode.',
    );
  const measured = sameLabel(has, had) ? `timecode ${has}` : `timecode ${has}, the original's is ${had}`;
  return hold(sameLabel(has, had), expected, measured, 'Make the copy again with the original’s timecode.');
}

function soundRuling(
  expected: string,
  all: boolean,
  measurement: Measurement,
  original: Measurement | ClipFacts,
): Ruling {
  if (original.audio.length === 0) return met(expected, 'the original has no sound');
  const [first, ...others] = measurement.audio.map((_, index) =>
    streamRuling(expected, index, measurement, original),
  );
  if (first === undefined) {
    return missed(expected, 'no sound, the original has some', 'Make the copy again with the sound.');
  }
  const has = channelsOf(measurement);
  const had = channelsOf(original);
  if (all && has !== had) {
    const measured = `channels by stream: ${has}, the original's ${had}`;
    return missed(expected, measured, 'Make the copy again with every stream and channel.');
  }
  return worstOf([first, ...others]);
}

/** `2+1+1`: channels of each stream. */
function channelsOf({ audio }: { readonly audio: readonly { readonly channels: number }[] }): string {
  return audio.map(({ channels }) => channels).join('+');
}

/** Length of one stream of the copy against the same stream of the original. */
function streamRuling(
  expected: string,
  index: number,
  measurement: Measurement,
  original: Measurement | ClipFacts,
): Ruling {
  const copy = measurement.audio[index];
  const source = original.audio[index];
  if (copy === undefined || source === undefined) {
    return missed(expected, 'sound the original does not have', 'Make the copy again from this original.');
  }
  const subject = `audio[${index}].durationSeconds`;
  const doubt =
    doubtAbout(measurement, subject) ?? (isMeasured(original) ? doubtAbout(original, subject) : null);
  if (doubt !== null)
    return unmeasured(expected, doubt, 'Measure copy and original again, with their sound.');
  // Matroska and others state no length of a stream; measuring the original does.
  if (source.durationSeconds === null) {
    return unmeasured(expected, 'the original states no length of its sound', 'Measure the original too.');
  }
  const rate = parseRational(measurement.video?.frameRate ?? '');
  const tolerance = Math.max(SOUND_TOLERANCE_SECONDS, rate === null ? 0 : 1 / toNumber(rate));
  const off = copy.durationSeconds - source.durationSeconds;
  const measured = `sound of ${copy.durationSeconds.toFixed(3)} s, the original's ${source.durationSeconds.toFixed(3)} s`;
  return hold(
    Math.abs(off) <= tolerance + 1e-6,
    expected,
    measured,
    'Make the copy again: its sound is not whole.',
  );
}

function depthRuling(expected: string, measurement: Measurement, original: Measurement | ClipFacts): Ruling {
  if (original.video === null && measurement.video === null)
    return met(expected, 'no picture, as the original');
  const copy = measurement.video?.bitDepth;
  if (copy === undefined || original.video === null) {
    return missed(expected, 'only one of the two has a picture', 'Make the copy again from this original.');
  }
  if (!isMeasured(original)) return declaredDepth(expected, copy.declared, original.video.bitDepth);
  const source = original.video.bitDepth;
  // What the original itself cannot show, its copy cannot either: the declared depths are what is left to compare.
  if (source.effective === null || source.confidence === 'low') {
    return declaredDepth(expected, copy.declared, source.declared);
  }
  const doubt = doubtAbout(measurement, 'video.bitDepth.effective');
  if (copy.effective === null || copy.confidence === 'low' || doubt !== null) {
    const reason = doubt ?? 'how many bits the copy really uses cannot be told';
    return unmeasured(expected, reason, 'Compare the copy with its original, code by code.');
  }
  const measured = `${copy.effective} bits used, the original uses ${source.effective}`;
  return hold(copy.effective >= source.effective, expected, measured, 'Use a codec that keeps every bit.');
}

function declaredDepth(expected: string, copy: number, source: number): Ruling {
  const measured = `${copy} bits declared, the original ${source}`;
  return hold(copy >= source, expected, measured, 'Use a codec that keeps every bit.');
}
