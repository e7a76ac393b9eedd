import { equalRationals, parseRational, toNumber } from '../../signal/rational.js';
import { parseTimecode } from '../../signal/timecode.js';
import { withVideo } from './check-format.js';
import { doubtAbout } from './doubt.js';
import { count, oneOf } from './figures.js';
import { eventsOf } from './place.js';
import { type Check, hold, met, missed, type Ruling, unmeasured, worstOf } from './ruling.js';

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
      eventsOf(measurement, 'timestamp-gap'),
    );
  });
};

export const frameCount: Check<'frame-count'> = (_, measurement) => {
  const expected = 'as many frames decoded as declared';
  return withVideo(measurement, expected, ({ frames, framesDeclared }) => {
    if (frames === 0) return missed(expected, 'not one frame decoded', 'Make the file again.');
    if (framesDeclared === null) {
      return unmeasured(
        expected,
        'the container declares no count',
        'Hold the count against the original instead.',
      );
    }
    const measured = `${frames} decoded, ${framesDeclared} declared`;
    return hold(
      frames === framesDeclared,
      expected,
      measured,
      'Copy or make the file again: frames are missing or too many.',
    );
  });
};

export const timecode: Check<'timecode'> = ({ start }, measurement) => {
  const expected = start === undefined ? 'a valid start timecode' : `timecode from ${start}`;
  const found = measurement.container.startTimecode;
  const advice =
    start === undefined ? 'Write a start timecode into the file.' : `Let the file start at ${start}.`;
  if (found === null) return missed(expected, 'no timecode', advice);
  const rate = parseRational(measurement.video?.frameRate ?? '');
  if (rate === null) return unmeasured(expected, `${found}, but no frame rate to count it by`, advice);
  const { reason } = parseTimecode(found, rate);
  if (reason !== null)
    return missed(expected, `${found} (${reason})`, 'Write a timecode that fits the frame rate.');
  return hold(start === undefined || sameLabel(found, start), expected, found, advice);
};

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
