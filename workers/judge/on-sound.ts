import type { SoundContent } from '../../jobs/measurement/measured-sound.js';
import type { AudioMeasurement, Measurement } from '../../jobs/measurement/measurement.js';
import { MEASURE_AGAIN, reasonFor } from './doubt.js';
import type { Parts, Rule } from './requirement.js';
import { missed, type Ruling, type Rulings, unmeasured } from './ruling.js';

/** One sound stream of a file. */
export interface OneStream {
  readonly stream: AudioMeasurement;
  /** Index of `stream` in `measurement.audio`. */
  readonly index: number;
  readonly measurement: Measurement;
  readonly parts: Parts;
}

/** A rule on each sound stream; a file without sound misses every such requirement. */
export function onEachStream<L>(rule: (limits: L, one: OneStream) => Ruling): Rule<L> {
  return (limits, measurement, { parts }): Rulings => {
    if (measurement.audio.length === 0) return noSound();
    return measurement.audio.map((stream, index): Ruling => {
      const ruling = rule(limits, { stream, index, measurement, parts });
      return { ...ruling, measured: `stream ${stream.stream}: ${ruling.measured}` };
    });
  };
}

/**
 * The same for figures of the samples of each channel; a stream whose samples were not read is unmeasured.
 */
export function onEachContent<L>(
  rule: (limits: L, content: SoundContent, one: OneStream) => Ruling,
): Rule<L> {
  return onEachStream((limits, one) => {
    const { stream, index, measurement } = one;
    if (stream.content === null) {
      return unmeasured(
        reasonFor(measurement, 'samples of this stream', `audio[${index}].content`),
        MEASURE_AGAIN,
      );
    }
    if (stream.samples === 0) return unmeasured('no samples were decoded', MEASURE_AGAIN);
    return rule(limits, stream.content, one);
  });
}

function noSound(): Ruling {
  return missed('the file has no sound', {
    advice: 'Deliver the sound with the picture, or remove this requirement from the target.',
  });
}
