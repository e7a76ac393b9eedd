import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { count } from '../../../jobs/words/numbers.js';
import { doubtAbout } from '../doubt.js';
import { faultyFramesText } from '../original/damage.js';
import { eventsOf } from '../place.js';
import { defineRequirement, type RuleContext } from '../requirement.js';
import { doubtful, met, missed, unmeasured } from '../ruling.js';

/** Every frame and sample decodes, and the decoder reports no error. */
export const requirement = defineRequirement('decode', {
  title: 'Decoding',
  why: 'A file that cannot be decoded completely cannot be delivered, whatever its headers declare.',
  expected: ({ maxErrors }) =>
    maxErrors === 0 ? 'complete, no decode errors' : `complete, at most ${count(maxErrors, 'decode error')}`,
  advice: 'Copy or make the file again; if the errors stay, the source is damaged.',
  rule: ({ maxErrors, proof }, measurement, context) => {
    const { video, audio } = measurement;
    const { errors, truncated, messages } = measurement.decode;
    const first = messages[0] === undefined ? '' : ` (the first: ${messages[0]})`;
    const found = `${count(errors, 'decode error')}${first}`;
    const at = eventsOf(measurement, 'truncated', 'decode-error', 'bad-frame');
    if (truncated) {
      const frames =
        video === null ? '' : `, ${video.frames} of ${video.framesDeclared ?? 'unknown'} frames decoded`;
      const advice = 'Copy or make the file again, and check the source.';
      return missed(`ends early${frames}; ${found}`, { at, advice });
    }
    const faulty = faultyFramesText(measurement);
    if (faulty !== null && errors > maxErrors) {
      return missed(`faulty frames of the sequence: ${faulty}`, {
        at,
        advice: 'Render these frames again, or copy them again from where the sequence is whole.',
      });
    }
    if (errors > maxErrors) return missed(found, { at });
    if (errors > 0) {
      return doubtful(found, 'Check picture and sound where they are damaged.');
    }
    // A decoder reports no error when there is nothing to decode.
    if (video === null ? audio.every(({ samples }) => samples === 0) : video.frames === 0) {
      return missed(`no ${video === null ? 'sample' : 'frame'} decoded`, {
        advice: 'Check that this is a media file, and complete.',
      });
    }
    const empty = audio.find(
      ({ samples }, index) => samples === 0 && doubtAbout(measurement, `audio[${index}].samples`) === null,
    );
    if (empty !== undefined) {
      return doubtful(
        `no sample of stream ${empty.stream} decoded`,
        'Check whether the stream should have sound.',
      );
    }
    return proof && !measurement.decode.endStated ? isComplete(found, measurement, context) : met(found);
  },
  seen: false,
});

/**
 * A file that does not declare its length looks complete when it was cut short: something else has to prove
 * it.
 */
function isComplete(
  found: string,
  { video, container }: Measurement,
  { original, lengthIsStated }: RuleContext,
) {
  if (lengthIsStated) return met(`${found}; its length is checked against the target`);
  const frames = original?.video?.frames ?? null;
  if (video !== null && frames !== null && frames === video.frames) {
    return met(`${found}; as many frames as the original`);
  }
  return unmeasured(
    `${found}, but a file of this kind (${container.format}) does not declare its length: cut short, it looks complete`,
    'Set its length in the target (`frame-count: { is: ... }` or `duration: { seconds: ... }`), make it in a ' +
      '`run`, which compares it with its original, or compare hashes of file and source and set `decode: { proof: false }`.',
  );
}
