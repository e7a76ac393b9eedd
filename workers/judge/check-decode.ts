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
  // Nothing at all came out: no decoder complained because there was nothing to decode.
  const silent = measurement.audio.every(({ samples }) => samples === 0);
  if ((measurement.video?.frames ?? 0) === 0 && silent) {
    return missed(
      expected,
      'not one frame and not one sample came out',
      'Check that this is a media file, and whole.',
    );
  }
  return met(expected, found);
};
