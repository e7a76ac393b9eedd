import { count } from '../../../jobs/words/numbers.js';
import { doubtAbout } from '../doubt.js';
import { eventsOf } from '../place.js';
import { defineRequirement } from '../requirement.js';
import { doubtful, met, missed } from '../ruling.js';

/** Every frame and sample comes out, without a complaint of the decoder. */
export const requirement = defineRequirement('decode', {
  title: 'Decoding',
  why: 'A file that cannot be decoded whole is not a delivery, whatever its headers say.',
  expected: ({ maxErrors }) =>
    maxErrors === 0 ? 'whole, no decode errors' : `whole, at most ${count(maxErrors, 'decode error')}`,
  advice: 'Copy or make the file again; if the errors stay, the source is damaged.',
  rule: ({ maxErrors }, measurement) => {
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
    return empty === undefined
      ? met(found)
      : doubtful(`not one sample of stream ${empty.stream} came out`, 'Check whether there should be sound.');
  },
  seen: false,
});
