import { doubtAbout } from './doubt.js';
import { count } from './figures.js';
import { eventsOf } from './place.js';
import { type Check, doubtful, met, missed } from './ruling.js';

/** Every frame and sample comes out, without a complaint of the decoder. */
export const decode: Check<'decode'> = ({ maxErrors }, measurement) => {
  const { errors, truncated, messages } = measurement.decode;
  const expected =
    maxErrors === 0 ? 'whole, no decode errors' : `whole, at most ${count(maxErrors, 'decode error')}`;
  const first = messages[0] === undefined ? '' : ` (the first: ${messages[0]})`;
  const found = `${count(errors, 'decode error')}${first}`;
  const at = eventsOf(measurement, 'truncated', 'decode-error');
  if (truncated) {
    const { video } = measurement;
    const frames =
      video === null ? '' : `, ${video.frames} of ${video.framesDeclared ?? 'unknown'} frames came out`;
    return missed(
      expected,
      `ends early${frames}; ${found}`,
      'Copy or make the file again, and check the source.',
      at,
    );
  }
  if (errors > maxErrors) {
    return missed(
      expected,
      found,
      'Copy or make the file again; if the errors stay, the source is damaged.',
      at,
    );
  }
  if (errors > 0)
    return doubtful(expected, found, 'Look at the picture and listen to the sound where it was damaged.');
  // No decoder complains when there is nothing to decode.
  const { video, audio } = measurement;
  const [empty] = audio.filter(
    ({ samples }, index) => samples === 0 && doubtAbout(measurement, `audio[${index}].samples`) === null,
  );
  if (video === null ? audio.every(({ samples }) => samples === 0) : video.frames === 0) {
    return missed(
      expected,
      `not one ${video === null ? 'sample' : 'frame'} came out`,
      'Check that this is a media file, and whole.',
    );
  }
  if (empty !== undefined) {
    return doubtful(
      expected,
      `not one sample of stream ${empty.stream} came out`,
      'Check whether there should be sound.',
    );
  }
  return met(expected, found);
};
