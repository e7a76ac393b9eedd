import type { ScanName } from '../../../jobs/manifest/colour.js';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { count, oneOf } from '../../../jobs/words/numbers.js';
import { percent } from '../../../jobs/words/quantities.js';
import { framesIn } from '../../measure/picture/temporal/frames-in-runs.js';
import { onSection } from '../on-picture.js';
import { inParts, plainRange } from '../place.js';
import { defineRequirement, type Limits } from '../requirement.js';
import { doubtful, met, missed, missedOnlyAt, unmeasured } from '../ruling.js';
import { allListed, distinct, NOT_ALL_LISTED } from './fields.js';

/** The accepted scan types; null where the file's own is accepted and it declares none. */
function expectedScans({ is }: Limits<'field-order'>, { video }: Measurement): readonly ScanName[] | null {
  if (is !== undefined) return is;
  return video === null || video.scan === null ? null : [video.scan];
}

export const requirement = defineRequirement('field-order', {
  title: 'Field order and combing',
  why: 'Fields in the wrong order make motion jump back and forth; combing in progressive frames cannot be removed later.',
  expected: (limits, measurement) => {
    const scans = expectedScans(limits, measurement);
    return scans === null
      ? 'motion of the scan type the file declares'
      : `motion ${oneOf(scans)}${limits.is === undefined ? ', as the file declares' : ''}`;
  },
  advice: (limits, measurement) => {
    const scans = expectedScans(limits, measurement);
    return `Make the file again so that motion is ${scans === null ? 'as declared' : oneOf(scans)}: swap the fields or de-interlace at the source; do not just change the flag.`;
  },
  rule: onSection('fields', { what: 'figures of fields' }, (limits, fields, measurement, { parts }) => {
    const { segmented, maxCombedFrames, proof } = limits;
    const { scan, confidence, segments, combed } = fields;
    const scans = expectedScans(limits, measurement);
    if (scans === null) return unmeasured('the file declares no scan type');
    const interlaced = scans.some((name) => name !== 'progressive');
    // Progressive frames carried as two fields of the same time (segmented frames, PsF) are correct in
    // interlaced files.
    const allowed = segmented && interlaced ? [...scans, 'progressive' as const] : scans;
    const wrong = inParts(
      measurement,
      segments.ranges.filter((segment) => segment.scan !== null && !allowed.includes(segment.scan)),
      parts,
    );
    const combs = interlaced ? [] : inParts(measurement, combed.ranges, parts);
    const tooMany = framesIn(combs) > maxCombedFrames ? combs : [];
    const at = [...wrong, ...tooMany].map(plainRange);
    const complete = allListed(segments, combed);
    if (at.length > 0) {
      const words = [
        ...distinct(wrong.map((segment) => segment.scan)).map((name) => {
          const of = wrong.filter((segment) => segment.scan === name);
          return `${name} in ${count(framesIn(of), 'frame')}`;
        }),
        ...(tooMany.length > 0
          ? [
              `${count(framesIn(tooMany), 'combed frame')}, in the worst (${combed.worstFrame}) over ${percent(combed.worstArea)} of the picture`,
            ]
          : []),
      ].join('; ');
      if (confidence === 'low' && tooMany.length === 0) {
        return { ...doubtful(`${words}; too little motion to be sure`), at };
      }
      return complete ? missedOnlyAt(at, words) : missed(words, { at });
    }
    if (!complete) return unmeasured(NOT_ALL_LISTED);
    if (scan === null || confidence === 'low') {
      const unclear = `too little motion to tell${scan === null ? '' : `, it looks ${scan}`}`;
      return proof
        ? unmeasured(unclear, 'Check the field order in a part with motion.')
        : met(`${unclear}; no sign of another scan`);
    }
    const asFields = scan === 'progressive' && interlaced;
    return met(asFields ? 'progressive, carried as two fields of the same time (PsF)' : scan);
  }),
  within: 'rule',
});
