import type { SoundContent } from '../../jobs/measurement/measured-sound.js';
import type { AudioMeasurement, Measurement } from '../../jobs/measurement/measurement.js';
import { reasonFor } from './doubt.js';
import { missed, type Ruling, unmeasured, worstOf } from './ruling.js';

/** Rules on every sound stream by itself; a file without sound misses whatever is asked of it. */
export function onEachStream(
  measurement: Measurement,
  expected: string,
  check: (stream: AudioMeasurement, index: number) => Ruling,
): Ruling {
  const [first, ...others] = measurement.audio.map((stream, index): Ruling => {
    const ruling = check(stream, index);
    return { ...ruling, measured: `stream ${stream.stream}: ${ruling.measured}` };
  });
  return first === undefined
    ? missed(
        expected,
        'the file has no sound',
        'Deliver the sound with the picture, or drop this requirement.',
      )
    : worstOf([first, ...others]);
}

/** The same for what the samples show channel by channel; a stream whose samples are not known is unmeasured. */
export function onEachContent(
  measurement: Measurement,
  expected: string,
  check: (content: SoundContent, stream: AudioMeasurement, index: number) => Ruling,
): Ruling {
  return onEachStream(measurement, expected, (stream, index) => {
    const advice = 'Measure the file again from a decodable copy.';
    if (stream.content === null) {
      const reason = reasonFor(measurement, 'samples of it', `audio[${index}].content`);
      return unmeasured(expected, reason, advice);
    }
    if (stream.samples === 0) return unmeasured(expected, 'no samples were decoded', advice);
    return check(stream.content, stream, index);
  });
}
