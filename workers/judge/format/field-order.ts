import type { ScanName } from '../../../jobs/manifest/colour.js';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { count, oneOf } from '../../../jobs/words/numbers.js';
import { percent } from '../../../jobs/words/quantities.js';
import { framesIn } from '../../measure/picture/temporal/frames-in-runs.js';
import { onSection } from '../on-picture.js';
import { inParts, plainRange } from '../place.js';
import { defineRequirement, type Limits } from '../requirement.js';
import { doubtful, met, missed, missedOnlyAt, unmeasured } from '../ruling.js';
import { distinct, isWhole, NOT_WHOLE } from './fields.js';

/** The scan types that are taken; null where they are what the file states, and it states none. */
function expectedScans({ is }: Limits<'field-order'>, { video }: Measurement): readonly ScanName[] | null {
  if (is !== undefined) return is;
  return video === null || video.scan === null ? null : [video.scan];
}

export const requirement = defineRequirement('field-order', {
  title: 'Field order and combing',
  why: 'Fields shown in the wrong order jump back and forth; combing in progressive frames cannot be taken out later.',
  expected: (limits, measurement) => {
    const scans = expectedScans(limits, measurement);
    return scans === null
      ? 'a moving picture of the scan the file states'
      : `moving picture ${oneOf(scans)}${limits.is === undefined ? ', as the file states' : ''}`;
  },
  advice: (limits, measurement) => {
    const scans = expectedScans(limits, measurement);
    return `Make the file again so that motion is ${scans === null ? 'as stated' : oneOf(scans)}: exchange the fields or de-interlace at the source, not by a flag.`;
  },
  rule: onSection('fields', { what: 'figures of fields' }, (limits, fields, measurement, { parts }) => {
    const { segmented, maxCombedFrames, proof } = limits;
    const { scan, confidence, segments, combed } = fields;
    const scans = expectedScans(limits, measurement);
    if (scans === null) return unmeasured('the file states no scan type');
    const interlaced = scans.some((name) => name !== 'progressive');
    // Progressive pictures carried as two fields of one time (segmented frames) are sound in interlaced
    // files.
    const allowed = segmented && interlaced ? [...scans, 'progressive' as const] : scans;
    const wrong = inParts(
      measurement,
      segments.ranges.filter((segment) => segment.scan !== null && !allowed.includes(segment.scan)),
      parts,
    );
    const combs = interlaced ? [] : inParts(measurement, combed.ranges, parts);
    const tooMany = framesIn(combs) > maxCombedFrames ? combs : [];
    const at = [...wrong, ...tooMany].map(plainRange);
    const whole = isWhole(segments, combed);
    if (at.length > 0) {
      const words = [
        ...distinct(wrong.map((segment) => segment.scan)).map((name) => {
          const of = wrong.filter((segment) => segment.scan === name);
          return `${name} in ${count(framesIn(of), 'frame')}`;
        }),
        ...(tooMany.length > 0
          ? [
              `${count(framesIn(tooMany), 'combed frame')} besides, in the worst (${combed.worstFrame}) over ${percent(combed.worstArea)} of the picture`,
            ]
          : []),
      ].join('; ');
      if (confidence === 'low' && tooMany.length === 0) {
        return { ...doubtful(`${words}; the motion is too slight to be sure`), at };
      }
      return whole ? missedOnlyAt(at, words) : missed(words, { at });
    }
    if (!whole) return unmeasured(NOT_WHOLE);
    if (scan === null || confidence === 'low') {
      const slight = `too little motion to tell${scan === null ? '' : `, it looks ${scan}`}`;
      return proof
        ? unmeasured(slight, 'Judge the field order by a part that moves.')
        : met(`${slight}; no sign of another scan`);
    }
    const asFields = scan === 'progressive' && interlaced;
    return met(asFields ? 'progressive, carried as fields of one time (PsF)' : scan);
  }),
  within: 'rule',
});
