import type { CadenceName } from '../../../jobs/measurement/measured-fields.js';
import { count } from '../../../jobs/words/numbers.js';
import { framesIn } from '../../measure/picture/temporal/frames-in-runs.js';
import { onSection } from '../on-picture.js';
import { inParts, plainRange } from '../place.js';
import { defineRequirement } from '../requirement.js';
import { doubtful, met, missed, missedOnlyAt, unmeasured } from '../ruling.js';
import { distinct, isWhole, NOT_WHOLE } from './fields.js';

/** Cadences in words, with what else looks the same. */
function cadenceWords(name: CadenceName): string {
  if (name === 'none') return 'no pulldown';
  if (name.startsWith('repeat-')) return `whole frames repeated (${name.slice('repeat-'.length)})`;
  return `pulldown ${name}`;
}

export const requirement = defineRequirement('cadence', {
  title: 'Pulldown and cadence',
  why: 'Pulldown left in, or broken by the edit, judders and spoils every later conversion.',
  expected: ({ is }) =>
    `${is.map(cadenceWords).join(' or ')}${is.some((name) => name !== 'none') ? ', without breaks' : ''}`,
  advice:
    'Take the pulldown out at the source, or make it again over the whole edit; animation drawn for two frames looks the same and may be meant.',
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
    const whole = isWhole(found.segments, found.breaks);
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
      return whole ? missedOnlyAt(at, words) : missed(words, { at });
    }
    if (!whole) return unmeasured(NOT_WHOLE);
    if (found.name === null || found.confidence === 'low') {
      return proof
        ? unmeasured('too little motion to tell', 'Judge the cadence by a part that moves.')
        : met('too little motion to tell; no sign of another cadence');
    }
    return met(cadenceWords(found.name));
  }),
  within: 'rule',
});
