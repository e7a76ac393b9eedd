import type { ClipFacts } from '../../../jobs/manifest/facts.js';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { count } from '../../../jobs/words/numbers.js';
import { quantity } from '../../../jobs/words/quantities.js';
import { equalRationals, parseRational, toNumber } from '../../../signal/rational.js';
import { doubtAbout } from '../doubt.js';
import { defineRequirement } from '../requirement.js';
import { met, metIf, missed, type Ruling, unmeasured } from '../ruling.js';
import { sameLabel } from '../same-label.js';
import { damageOf, faultyFramesText, isMeasured, SEQUENCE_AGAIN } from './damage.js';
import { soundRuling } from './sound-as-original.js';

const NOT_THE_WHOLE_TAKE = 'Make the copy again: it is not the whole take.';
const FROM_THIS_ORIGINAL = 'Make the copy again from this original.';

type Original = Measurement | ClipFacts;

export const requirement = defineRequirement('as-original', {
  title: 'Copy against its original',
  why: 'A copy can replace its original in an edit only when they match frame for frame.',
  expected: ({ frames, timecode, sound, raster, bitDepth }) => {
    const parts = [
      frames ? 'frames' : '',
      timecode ? 'start timecode' : '',
      sound === false ? '' : sound === 'all' ? 'all sound' : 'sound',
      raster ? 'raster' : '',
      bitDepth === false ? '' : bitDepth === true ? 'bit depth' : `bit depth up to ${bitDepth} bits`,
    ].filter((part) => part !== '');
    return parts.length === 0 ? 'made from an undamaged original' : `${parts.join(', ')} as the original`;
  },
  advice: FROM_THIS_ORIGINAL,
  rule: (limits, measurement, { original, sound }) => {
    if (original === undefined) {
      return unmeasured('no original to compare it with', 'Check the copy together with its original.');
    }
    const damage = damageOf(original);
    if (damage !== null) {
      const isSequence = isMeasured(original) && faultyFramesText(original) !== null;
      return missed(damage, {
        advice: isSequence
          ? SEQUENCE_AGAIN
          : 'Copy the original again from the card while it is still there, then make this again.',
      });
    }
    const rulings = [
      limits.frames ? framesRuling(measurement, original) : [],
      limits.timecode ? timecodeRuling(measurement, original) : [],
      limits.sound === false ? [] : soundRuling(limits.sound === 'all', measurement, original, sound),
      limits.raster ? rasterRuling(measurement, original) : [],
      limits.bitDepth === false ? [] : depthRuling(limits.bitDepth, measurement, original),
    ].flat();
    return rulings.length === 0 ? met('the original is undamaged') : rulings;
  },
});

function framesRuling(measurement: Measurement, original: Original): Ruling {
  if (original.video === null && measurement.video === null) return met('no picture, as the original');
  if (original.video === null)
    return missed('a picture, the original has none', { advice: FROM_THIS_ORIGINAL });
  if (measurement.video === null)
    return missed('no picture, the original has one', { advice: FROM_THIS_ORIGINAL });
  const had = original.video.frames;
  const has = measurement.video.frames;
  if (had === null) return unmeasured('the original declares no frame count', 'Measure the original too.');
  if (!sameFrameRate(measurement, original)) return lengthRuling(measurement, original);
  const measured = has === had ? `${count(has, 'frame')}` : `${count(has, 'frame')} of the original's ${had}`;
  return metIf(has === had, measured, NOT_THE_WHOLE_TAKE);
}

/** Whether every frame of the original is one frame of the copy: both at one constant rate. */
function sameFrameRate(measurement: Measurement, original: Original): boolean {
  if (original.video?.constantRate === false) return false;
  const had = parseRational(original.video?.frameRate ?? '');
  const has = parseRational(measurement.video?.frameRate ?? '');
  return had === null || has === null || equalRationals(had, has);
}

/** Where frames were repeated or dropped to convert the rate, the copy must be as long as the original. */
function lengthRuling(measurement: Measurement, original: Original): Ruling {
  const had = original.video?.durationSeconds ?? null;
  const has = measurement.video?.durationSeconds ?? null;
  const rate = parseRational(measurement.video?.frameRate ?? '');
  const from = parseRational(original.video?.frameRate ?? '');
  if (had === null || has === null || rate === null || from === null) {
    return unmeasured('the rates differ and a length is not known', 'Measure the original too.');
  }
  // One frame of either: the last one of the original may end anywhere within a frame of the copy.
  const tolerance = Math.max(1 / toNumber(rate), 1 / toNumber(from));
  const originalRate = original.video?.constantRate === false ? 'a variable rate' : original.video?.frameRate;
  const measured = `${quantity(has, 's')} at ${measurement.video?.frameRate}, the original's ${quantity(had, 's')} at ${originalRate}`;
  return metIf(Math.abs(has - had) <= tolerance, measured, NOT_THE_WHOLE_TAKE);
}

/** Detects scaling, and an odd line or column that was repeated or left out. */
function rasterRuling(measurement: Measurement, original: Original): Ruling {
  if (original.video === null && measurement.video === null) return met('no picture, as the original');
  if (original.video === null || measurement.video === null) {
    return missed('only one of the two has a picture', { advice: FROM_THIS_ORIGINAL });
  }
  const [has, had] = [uprightSize(measurement.video), uprightSize(original.video)];
  const measured = has === had ? has : `${has}, the original's ${had}`;
  if (has === had && !sameAspect(measurement.video, original.video)) {
    const [is, was] = [measurement.video.sampleAspect, original.video.sampleAspect];
    return missed(`${has}, samples of ${is ?? 'no aspect'}, the original's of ${was}`, {
      advice: 'Make the copy again with the sample aspect of the original.',
    });
  }
  return metIf(
    has === had,
    measured,
    'Use a codec that can store this raster, or a target that may change it.',
  );
}

/**
 * Relative difference allowed: containers that store the shape of the picture in whole pixels round the
 * aspect.
 */
const ASPECT_OFF = 0.002;

/**
 * Whether samples have the same shape once the picture is turned upright. Where the original declares none,
 * any will do.
 */
function sameAspect(copy: Turned, original: Turned): boolean {
  const had = shapeOf(original);
  if (had === null) return true;
  return Math.abs((shapeOf(copy) ?? 1) / had - 1) <= ASPECT_OFF;
}

interface Turned {
  readonly sampleAspect: string | null;
  readonly rotation: number;
}

function shapeOf({ sampleAspect, rotation }: Turned): number | null {
  const aspect = parseRational(sampleAspect ?? '');
  if (aspect === null) return null;
  return rotation % 180 === 0 ? toNumber(aspect) : 1 / toNumber(aspect);
}

function uprightSize(picture: {
  readonly width: number;
  readonly height: number;
  readonly rotation: number;
}): string {
  const { width, height, rotation } = picture;
  return rotation % 180 === 0 ? `${width} x ${height}` : `${height} x ${width}`;
}

function timecodeRuling(measurement: Measurement, original: Original): Ruling {
  const had = original.container.startTimecode;
  const has = measurement.container.startTimecode;
  if (had === null) return met('the original has no timecode');
  if (has === null) {
    const advice = 'Make the copy again with the timecode.';
    return missed(`no timecode, the original's is ${had}`, { advice });
  }
  const same = sameLabel(has, had);
  const measured = same ? `timecode ${has}` : `timecode ${has}, the original's is ${had}`;
  return metIf(same, measured, 'Make the copy again with the original’s timecode.');
}

/**
 * @param limit true: all that the original uses; a number: no more than so many, which is what the target's
 * codec holds
 */
function depthRuling(limit: true | number, measurement: Measurement, original: Original): Ruling {
  if (original.video === null && measurement.video === null) return met('no picture, as the original');
  const copy = measurement.video?.bitDepth;
  if (copy === undefined || original.video === null) return missed('only one of the two has a picture');
  const enough = (bits: number): number => (limit === true ? bits : Math.min(limit, bits));
  const declaredDepth = (bits: number): Ruling =>
    metIf(
      copy.declared >= enough(bits),
      `${copy.declared} bits declared, the original ${bits}`,
      KEEP_EVERY_BIT,
    );
  if (!isMeasured(original)) return declaredDepth(original.video.bitDepth);
  const source = original.video.bitDepth;
  // Where the bits in use of the original are not known, those of the copy are not either: only the declared
  // depths can be compared.
  if (source.effective === null || source.confidence === 'low') return declaredDepth(source.declared);
  const doubt = doubtAbout(measurement, 'video.bitDepth.effective');
  if (copy.effective === null || copy.confidence === 'low' || doubt !== null) {
    const reason = doubt ?? 'the bits the copy really uses are not known';
    return unmeasured(reason, 'Compare the copy with its original, code by code.');
  }
  const measured = `${copy.effective} bits used, the original uses ${source.effective}`;
  return metIf(copy.effective >= enough(source.effective), measured, KEEP_EVERY_BIT);
}

const KEEP_EVERY_BIT = 'Use a codec that keeps every bit.';
