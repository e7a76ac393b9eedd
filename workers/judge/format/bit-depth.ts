import { statesDepth } from '../../../jobs/codecs/codec-traits.js';
import { oneOf } from '../../../jobs/words/numbers.js';
import { samplesContradiction } from '../../probe/boxes/codec-record.js';
import { doubtAbout, reasonFor } from '../doubt.js';
import { onSteadyPicture } from '../on-picture.js';
import { defineRequirement, type Limits } from '../requirement.js';
import { met, metIf, missed, unmeasured } from '../ruling.js';

const allowed = ({ declared }: Limits<'bit-depth'>): readonly number[] =>
  typeof declared === 'number' ? [declared] : declared;

export const requirement = defineRequirement('bit-depth', {
  title: 'Bit depth',
  why: 'Bits that are declared but not used do not prevent banding in the grade.',
  expected: (limits) => {
    const { effective, proof } = limits;
    const used = proof
      ? `at least ${effective} of them used`
      : `no sign that fewer than ${effective} are used`;
    return `${oneOf(allowed(limits))} bits${effective === undefined ? '' : `, ${used}`}`;
  },
  advice: (limits) => `Encode the picture with ${oneOf(allowed(limits))} bits.`,
  rule: onSteadyPicture((limits, { bitDepth: found, codec }, measurement) => {
    const { effective, proof } = limits;
    // Without a depth of its own a file holds any that fits into what it is decoded with.
    const declared = statesDepth(codec)
      ? `${found.declared} bits declared`
      : `decoded with ${found.declared} bits (the codec declares none)`;
    const suits = (bits: number): boolean =>
      statesDepth(codec) ? bits === found.declared : bits <= found.declared;
    if (!allowed(limits).some(suits)) return missed(declared);
    const contradiction = samplesContradiction(measurement.layers.container?.samples ?? null, {
      bitDepth: found.declared,
      chroma: null,
    });
    if (contradiction !== null) return unmeasured(contradiction, 'Wrap the stream again.');
    if (effective === undefined) return met(declared);
    const noPicture = measurement.levels === null ? reasonFor(measurement, 'levels', 'levels') : null;
    const unread = noPicture ?? doubtAbout(measurement, 'levels.luma');
    const doubt = doubtAbout(measurement, 'video.bitDepth.effective');
    if (unread !== null || found.effective === null || found.confidence === 'low' || doubt !== null) {
      if (unread === null && found.effective === null && !proof) {
        return met(`${declared}; the bits in use are not known, no sign of fewer`);
      }
      const reason = unread ?? doubt ?? 'too few tones, or too lossy a codec, to tell how many bits are used';
      return unmeasured(reason, 'Check the depth on the uncompressed or losslessly coded source.');
    }
    return metIf(
      found.effective >= effective,
      `${declared}, ${found.effective} used`,
      'Go back to a source with the full depth: missing bits cannot be restored.',
    );
  }),
  seen: false,
});
