import type { TimecodeTrack } from '../../../jobs/measurement/measured-container.js';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { count } from '../../../jobs/words/numbers.js';
import {
  equalRationals,
  formatRational,
  parseRational,
  type Rational,
  rational,
  toNumber,
} from '../../../signal/rational.js';
import { nominalRate, parseTimecode, supportsDropFrame } from '../../../signal/timecode.js';
import { doubtAbout } from '../doubt.js';
import { framesAt } from '../place.js';
import { defineRequirement } from '../requirement.js';
import { met, metIf, missed, type Ruling, unmeasured } from '../ruling.js';
import { sameLabel } from '../same-label.js';

export const requirement = defineRequirement('timecode', {
  title: 'Timecode',
  why: 'Edit, sound and archive find every frame by its timecode.',
  expected: ({ start, continuous }) => {
    const label = start === undefined ? 'a valid start timecode' : `timecode from ${start}`;
    return continuous ? `${label}, without a jump` : label;
  },
  advice: ({ start }) =>
    start === undefined ? 'Write a start timecode into the file.' : `Let the file start at ${start}.`,
  rule: ({ start, continuous }, measurement) => {
    const found = measurement.container.startTimecode;
    if (found === null) return missed('no timecode');
    const rate = parseRational(measurement.video?.frameRate ?? '');
    if (rate === null) return unmeasured(`${found}, but the file declares no frame rate`);
    const { reason } = parseTimecode(found, rate);
    const track = measurement.wrapper?.timecode ?? null;
    const fault = reason ?? (track === null ? null : trackFault(track, found, rate));
    if (fault !== null) {
      return missed(`${found} (${fault})`, { advice: 'Write a timecode that fits the frame rate.' });
    }
    const doubt = doubtAbout(measurement, 'wrapper.timecode');
    return [
      metIf(start === undefined || sameLabel(found, start), found),
      ...(doubt === null ? [] : [unmeasured(`the timecode track was not read: ${doubt}`)]),
      ...(continuous ? [continuity(track, measurement)] : []),
    ];
  },
});

/** Why a timecode track does not fit the picture; null where it does. */
function trackFault(track: TimecodeTrack, found: string, rate: Rational): string | null {
  const own = parseRational(track.frameRate);
  // Above 30 frames a second a label may stand for two frames (ST 12-1, frame pairs; from memory).
  const pairs = toNumber(rate) > 30 ? rational(rate.num, rate.den * 2) : null;
  if (own === null || !(equalRationals(own, rate) || (pairs !== null && equalRationals(own, pairs)))) {
    return `its track counts ${track.frameRate} frames/s, the picture has ${formatRational(rate)}`;
  }
  if (track.dropFrame && !supportsDropFrame(own)) {
    return `its track is flagged drop frame, which does not exist at ${track.frameRate}`;
  }
  if (track.framesPerSecond !== nominalRate(own)) {
    return `its track counts ${track.framesPerSecond} labels a second at ${track.frameRate}`;
  }
  // With frame pairs the labels of track and picture count differently.
  if (equalRationals(own, rate) && track.start !== null && !sameLabel(track.start, found)) {
    return `its track begins at ${track.start}`;
  }
  return null;
}

function continuity(track: TimecodeTrack | null, measurement: Measurement): Ruling {
  const advice = 'Write one unbroken timecode over the whole programme.';
  if (track === null) {
    const reason =
      doubtAbout(measurement, 'wrapper.timecode') ?? 'the file has no timecode track that can be read';
    return unmeasured(reason, advice);
  }
  const frames = measurement.video?.frames ?? 0;
  const rate = parseRational(measurement.video?.frameRate ?? '');
  const own = parseRational(track.frameRate);
  const perLabel = rate === null || own === null ? 1 : toNumber(rate) / toNumber(own);
  if (track.jumps.length > 0) {
    const at = track.jumps.map(({ frame }) => {
      const from = Math.round(frame * perLabel);
      return framesAt(measurement, from, from + 1);
    });
    return missed(`${count(track.jumps.length, 'jump')} in the count`, { at, advice });
  }
  const labelled = Math.round(track.frames * perLabel);
  return labelled >= frames
    ? met('one unbroken count')
    : missed(`${labelled} of ${count(frames, 'frame')} have a timecode`, { advice });
}
