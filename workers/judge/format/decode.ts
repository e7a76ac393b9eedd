import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { count } from '../../../jobs/words/numbers.js';
import { doubtAbout } from '../doubt.js';
import { eventsOf } from '../place.js';
import { defineRequirement, type RuleContext } from '../requirement.js';
import { doubtful, met, missed, unmeasured } from '../ruling.js';

/** Every frame and sample comes out, without a complaint of the decoder. */
export const requirement = defineRequirement('decode', {
  title: 'Decoding',
  why: 'A file that cannot be decoded whole is not a delivery, whatever its headers say.',
  expected: ({ maxErrors }) =>
    maxErrors === 0 ? 'whole, no decode errors' : `whole, at most ${count(maxErrors, 'decode error')}`,
  advice: 'Copy or make the file again; if the errors stay, the source is damaged.',
  rule: ({ maxErrors, proof }, measurement, context) => {
    const { video, audio } = measurement;
    const { errors, truncated, messages } = measurement.decode;
    const first = messages[0] === undefined ? '' : ` (the first: ${messages[0]})`;
    const found = `${count(errors, 'decode error')}${first}`;
    const at = eventsOf(measurement, 'truncated', 'decode-error');
    if (truncated) {
      const frames =
        video === null ? '' : `, ${video.frames} of ${video.framesDeclared ?? 'unknown'} frames came out`;
      const advice = 'Copy or make the file again, and check the source.';
      return missed(`ends early${frames}; ${found}`, { at, advice });
    }
    if (errors > maxErrors) return missed(found, { at });
    if (errors > 0) {
      return doubtful(found, 'Look at the picture and listen to the sound where it was damaged.');
    }
    // No decoder complains when there is nothing to decode.
    if (video === null ? audio.every(({ samples }) => samples === 0) : video.frames === 0) {
      return missed(`not one ${video === null ? 'sample' : 'frame'} came out`, {
        advice: 'Check that this is a media file, and whole.',
      });
    }
    const empty = audio.find(
      ({ samples }, index) => samples === 0 && doubtAbout(measurement, `audio[${index}].samples`) === null,
    );
    if (empty !== undefined) {
      return doubtful(
        `not one sample of stream ${empty.stream} came out`,
        'Check whether there should be sound.',
      );
    }
    return proof && !measurement.decode.endStated ? whetherAll(found, measurement, context) : met(found);
  },
  seen: false,
});

/**
 * A file that does not say how much it holds looks whole when it was cut short: something else has to prove
 * it.
 */
function whetherAll(
  found: string,
  { video, container }: Measurement,
  { original, lengthIsStated }: RuleContext,
) {
  if (lengthIsStated) return met(`${found}; its length is held against the one the target states`);
  const frames = original?.video?.frames ?? null;
  if (video !== null && frames !== null && frames === video.frames) {
    return met(`${found}; as many frames as the original has`);
  }
  return unmeasured(
    `${found}, but a file of this kind (${container.format}) does not say how much it holds: cut short it looks whole`,
    'State its length in the target (`frame-count: { is: ... }` or `duration: { seconds: ... }`), make it in a ' +
      '`run`, which holds it against its original, or compare hashes of file and source and set `decode: { proof: false }`.',
  );
}
