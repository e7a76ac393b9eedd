import type { CadenceName } from '../../../jobs/measurement/measured-fields.js';
import { count } from '../../../jobs/words/numbers.js';
import { framesIn } from '../../measure/picture/temporal/frames-in-runs.js';
import { onSection } from '../on-picture.js';
import { inParts, plainRange } from '../place.js';
import { defineRequirement } from '../requirement.js';
import { doubtful, met, missed, missedOnlyAt, unmeasured } from '../ruling.js';
import { allListed, distinct, NOT_ALL_LISTED } from './fields.js';

/** A cadence in words. */
function cadenceWords(name: CadenceName): string {
  if (name === 'none') return 'no pulldown';
  if (name.startsWith('repeat-')) return `whole frames repeated (${name.slice('repeat-'.length)})`;
  return `pulldown ${name}`;
}

export const requirement = defineRequirement('cadence', {
  title: 'Pulldown and cadence',
  why: 'Pulldown that was left in or broken by the edit judders and spoils every later conversion.',
  expected: ({ is }) =>
    `${is.map(cadenceWords).join(' or ')}${is.some((name) => name !== 'none') ? ', without breaks' : ''}`,
  advice:
    'Remove the pulldown at the source, or apply it again over the finished edit; animation drawn on twos looks the same and may be intended.',
  rule: onSection('fields', { what: 'figures of fields' }, (limits, fields, measurement, { parts }) => {
    const { is, maxBreaks, proof } = limits;
    const { cadence: found } = fields;
    const wrong = inParts(
      measurement,
      found.segments.ranges.filter(({ name }) => !is.includes(name)),
      parts,
    );
    const breaks = inParts(measurement, found.breaks.ranges, parts);
    const tooMany = breaks.length > maxBreaks ? breaks : [];
    const at = [...wrong, ...tooMany].map(plainRange);
    const complete = allListed(found.segments, found.breaks);
    if (at.length > 0) {
      const words = [
        ...distinct(wrong.map(({ name }) => name)).map((name) => {
          const of = wrong.filter((segment) => segment.name === name);
          return `${cadenceWords(name)} in ${count(framesIn(of), 'frame')}`;
        }),
        ...(tooMany.length > 0 ? [count(tooMany.length, 'break')] : []),
      ].join('; ');
      if (found.confidence === 'low') {
        return { ...doubtful(`${words}; too little motion to be sure`), at };
      }
      return complete ? missedOnlyAt(at, words) : missed(words, { at });
    }
    if (!complete) return unmeasured(NOT_ALL_LISTED);
    if (found.name === null || found.confidence === 'low') {
      return proof
        ? unmeasured('too little motion to tell', 'Check the cadence in a part with motion.')
        : met('too little motion to tell; no sign of another cadence');
    }
    return met(cadenceWords(found.name));
  }),
  within: 'rule',
});
