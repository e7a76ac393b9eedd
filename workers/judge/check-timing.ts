import type { TimecodeTrack } from '../../jobs/measurement/measured-container.js';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import {
  equalRationals,
  formatRational,
  parseRational,
  type Rational,
  rational,
  toNumber,
} from '../../signal/rational.js';
import { nominalRate, parseTimecode, supportsDropFrame } from '../../signal/timecode.js';
import { withVideo } from './check-format.js';
import { doubtAbout } from './doubt.js';
import { count, oneOf } from './figures.js';
import { eventsOf, framesAt } from './place.js';
import { type Check, hold, met, missed, type Ruling, unmeasured, worstOf } from './ruling.js';

/** What a measurement calls frames whose time does not follow from the one before. */
const STAMP_EVENTS = ['timestamp-gap', 'timestamp-repeat'] as const;

export const frameRate: Check<'frame-rate'> = ({ is }, measurement) => {
  const expected = `${oneOf(is)} frames/s`;
  return withVideo(measurement, expected, (video) => {
    const rate = parseRational(video.frameRate ?? '');
    const advice = `Deliver at ${expected}; change the rate in the edit, not by a flag.`;
    if (rate === null) return unmeasured(expected, 'the file states no frame rate', advice);
    const holds = is.some((text) => {
      const wanted = parseRational(text);
      return wanted !== null && equalRationals(rate, wanted);
    });
    return hold(holds, expected, `${rate.num}/${rate.den} frames/s`, advice);
  });
};

export const constantRate: Check<'constant-rate'> = (_, measurement) => {
  const expected = 'every frame as long as the next';
  return withVideo(measurement, expected, ({ constantRate: constant }) => {
    if (constant === null) {
      const reason = doubtAbout(measurement, 'video.constantRate') ?? 'the time stamps do not tell';
      return unmeasured(expected, reason, 'Wrap the file again with a constant rate.');
    }
    if (constant) return met(expected, expected);
    return missed(
      expected,
      'frames of uneven length',
      'Make the file again at a constant rate.',
      eventsOf(measurement, ...STAMP_EVENTS),
    );
  });
};

export const timestamps: Check<'timestamps'> = (_, measurement) => {
  const expected = 'time stamps without gap, repeat or step back';
  return withVideo(measurement, expected, ({ constantRate: constant }) => {
    const advice = 'Make the file again with a time stamp for every frame.';
    const faults = measurement.coding?.timestamps ?? null;
    const at = eventsOf(measurement, ...STAMP_EVENTS);
    const found = [
      at.length > 0 ? (at.length === 1 ? 'a gap or repeat' : `${at.length} gaps or repeats`) : '',
      // A container that stamps no packet at all leaves it to the frames, which were asked.
      faults !== null && faults.missing > 0 && faults.missing < (measurement.coding?.packets ?? 0)
        ? `${count(faults.missing, 'packet')} without a time`
        : '',
      faults !== null && faults.repeated > 0
        ? `${count(faults.repeated, 'packet')} at the time of another`
        : '',
      faults !== null && faults.backward > 0
        ? `${count(faults.backward, 'packet')} not decoded after the one before`
        : '',
    ].filter((part) => part !== '');
    if (found.length > 0) return missed(expected, found.join(', '), advice, at);
    if (constant === null || faults === null) {
      const reason =
        doubtAbout(measurement, 'video.constantRate', 'coding') ?? 'the time stamps could not be read';
      return unmeasured(expected, reason, advice);
    }
    return met(expected, expected);
  });
};

export const timecode: Check<'timecode'> = ({ start, continuous }, measurement) => {
  const label = start === undefined ? 'a valid start timecode' : `timecode from ${start}`;
  const expected = continuous ? `${label}, without a jump` : label;
  const found = measurement.container.startTimecode;
  const advice =
    start === undefined ? 'Write a start timecode into the file.' : `Let the file start at ${start}.`;
  if (found === null) return missed(expected, 'no timecode', advice);
  const rate = parseRational(measurement.video?.frameRate ?? '');
  if (rate === null) return unmeasured(expected, `${found}, but no frame rate to count it by`, advice);
  const { reason } = parseTimecode(found, rate);
  const track = measurement.wrapper?.timecode ?? null;
  const fault = reason ?? (track === null ? null : trackFault(track, found, rate));
  if (fault !== null)
    return missed(expected, `${found} (${fault})`, 'Write a timecode that fits the frame rate.');
  const doubt = doubtAbout(measurement, 'wrapper.timecode');
  return worstOf([
    hold(start === undefined || sameLabel(found, start), expected, found, advice),
    ...(doubt === null ? [] : [unmeasured(expected, `its track was not read: ${doubt}`, advice)]),
    ...(continuous ? [continuity(expected, track, measurement)] : []),
  ]);
};

/** Why a timecode track does not fit the picture; null where it does. */
function trackFault(track: TimecodeTrack, found: string, rate: Rational): string | null {
  const own = parseRational(track.frameRate);
  // Above 30 frames a second a label may stand for two frames (ST 12-1, frame pairs; from memory).
  const pairs = toNumber(rate) > 30 ? rational(rate.num, rate.den * 2) : null;
  if (own === null || !(equalRationals(own, rate) || (pairs !== null && equalRationals(own, pairs)))) {
    return `its track counts ${track.frameRate} frames a second, the picture has ${formatRational(rate)}`;
  }
  if (track.dropFrame && !supportsDropFrame(own)) {
    return `its track is flagged drop frame, which ${track.frameRate} has not`;
  }
  if (track.framesPerSecond !== nominalRate(own)) {
    return `its track counts ${track.framesPerSecond} labels a second at ${track.frameRate}`;
  }
  // At frame pairs the labels of track and picture count differently.
  if (equalRationals(own, rate) && track.start !== null && !sameLabel(track.start, found)) {
    return `its track begins at ${track.start}`;
  }
  return null;
}

function continuity(expected: string, track: TimecodeTrack | null, measurement: Measurement): Ruling {
  const advice = 'Write one unbroken timecode over the whole programme.';
  if (track === null) {
    const reason =
      doubtAbout(measurement, 'wrapper.timecode') ?? 'the file has no timecode track that can be read';
    return unmeasured(expected, reason, advice);
  }
  const [jump] = track.jumps;
  const frames = measurement.video?.frames ?? 0;
  const rate = parseRational(measurement.video?.frameRate ?? '');
  const own = parseRational(track.frameRate);
  const perLabel = rate === null || own === null ? 1 : toNumber(rate) / toNumber(own);
  if (jump !== undefined) {
    const at = track.jumps.map(({ frame }) => {
      const from = Math.round(frame * perLabel);
      return framesAt(measurement, from, from + 1);
    });
    return missed(expected, `${count(track.jumps.length, 'jump')} in the count`, advice, at);
  }
  const labelled = Math.round(track.frames * perLabel);
  return hold(
    labelled >= frames,
    expected,
    labelled >= frames ? 'one unbroken count' : `${labelled} of ${count(frames, 'frame')} have a label`,
    advice,
  );
}

/** Labels are the same whichever character marks drop frame; drop and non-drop are not the same. */
export function sameLabel(a: string, b: string): boolean {
  return normalLabel(a) === normalLabel(b);
}

function normalLabel(label: string): string {
  const digits = label
    .trim()
    .split(/[:;.,]/)
    .join(':');
  return /[;.,]/.test(label) ? `${digits} drop` : digits;
}

export const pictureSoundLength: Check<'picture-sound-length'> = ({ maxFrames }, measurement) => {
  const expected = `sound as long as the picture within ${count(maxFrames, 'frame')}`;
  return withVideo(measurement, expected, (video) => {
    const rate = parseRational(video.frameRate ?? '');
    if (rate === null)
      return unmeasured(expected, 'the file states no frame rate', 'Wrap the file with a frame rate.');
    const [first, ...others] = measurement.audio.map((stream, index): Ruling => {
      const doubt = doubtAbout(measurement, `audio[${index}].durationSeconds`);
      if (doubt !== null) {
        return unmeasured(
          expected,
          `stream ${stream.stream}: ${doubt}`,
          'Measure the file again, with its sound.',
        );
      }
      const frames = (stream.durationSeconds - video.durationSeconds) * toNumber(rate);
      const measured = `stream ${stream.stream}: sound ${length(frames)}`;
      // Durations are doubles: a millionth of a frame is no difference.
      return hold(
        Math.abs(frames) <= maxFrames + 1e-6,
        expected,
        measured,
        'Trim or pad the sound to the picture.',
      );
    });
    if (first === undefined) {
      return missed(
        expected,
        'the file has no sound',
        'Deliver the sound with the picture, or drop this requirement.',
      );
    }
    return worstOf([first, ...others]);
  });
};

function length(frames: number): string {
  const rounded = Math.abs(frames).toFixed(2);
  if (rounded === '0.00') return 'as long as the picture';
  return `${rounded} frames ${frames > 0 ? 'longer' : 'shorter'} than the picture`;
}
