import type { CadenceName, MeasuredFields } from '../../jobs/measurement/measured-fields.js';
import type { FrameRange, Measurement } from '../../jobs/measurement/measurement.js';
import { framesIn } from '../measure/picture/temporal/frames-in-runs.js';
import { count, oneOf, percent } from './figures.js';
import { inParts, partsChecks, withSection } from './parts-rule.js';
import { plainRange } from './place.js';
import { doubtful, met, missed, missedOnlyAt, type Ruling, unmeasured } from './ruling.js';

function withFields(
  measurement: Measurement,
  expected: string,
  rule: (fields: MeasuredFields) => Ruling,
): Ruling {
  return withSection(measurement, 'fields', 'figures of fields', expected, rule);
}

interface Places {
  readonly places: number;
  readonly ranges: readonly FrameRange[];
}
/** Only the longest places are listed: whether the others miss is not known. */
const isWhole = (...lists: readonly Places[]): boolean =>
  lists.every(({ places, ranges }) => places === ranges.length);

const distinct = <T>(values: readonly T[]): T[] => [...new Set(values)];

export const fieldOrder = partsChecks<'field-order'>(
  ({ is, segmented, maxCombedFrames, proof }, measurement, parts) => {
    const declared = measurement.video?.scan ?? null;
    const wanted = is ?? (declared === null ? null : [declared]);
    const expected =
      wanted === null
        ? 'a moving picture of the scan the file states'
        : `moving picture ${oneOf(wanted)}${is === undefined ? ', as the file states' : ''}`;
    return withFields(measurement, expected, ({ scan, confidence, segments, combed }) => {
      const advice = `Make the file again so that motion is ${wanted === null ? 'as stated' : oneOf(wanted)}: exchange the fields or de-interlace at the source, not by a flag.`;
      if (wanted === null) return unmeasured(expected, 'the file states no scan type', advice);
      const interlaced = wanted.some((name) => name !== 'progressive');
      // Progressive pictures carried as two fields of one time (segmented frames) are sound in interlaced files.
      const allowed = segmented && interlaced ? [...wanted, 'progressive' as const] : wanted;
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
          return { ...doubtful(expected, `${words}; the motion is too slight to be sure`, advice), at };
        }
        return whole ? missedOnlyAt(at, expected, words, advice) : missed(expected, words, advice, at);
      }
      if (!whole) {
        return unmeasured(expected, 'only the longest of many places are known one by one', advice);
      }
      if (scan === null || confidence === 'low') {
        const slight = `too little motion to tell${scan === null ? '' : `, it looks ${scan}`}`;
        return proof
          ? unmeasured(expected, slight, 'Judge the field order by a part that moves.')
          : met(expected, `${slight}; no sign of another scan`);
      }
      const asFields = scan === 'progressive' && interlaced;
      return met(expected, asFields ? 'progressive, carried as fields of one time (PsF)' : scan);
    });
  },
);

/** Cadences in words, with what else looks the same. */
function cadenceWords(name: CadenceName): string {
  if (name === 'none') return 'no pulldown';
  if (name.startsWith('repeat-')) return `whole frames repeated (${name.slice('repeat-'.length)})`;
  return `pulldown ${name}`;
}

export const cadence = partsChecks<'cadence'>(({ is, maxBreaks, proof }, measurement, parts) => {
  const expected = `${is.map(cadenceWords).join(' or ')}${is.some((name) => name !== 'none') ? ', without breaks' : ''}`;
  return withFields(measurement, expected, ({ cadence: found }) => {
    const advice =
      'Take the pulldown out at the source, or make it again over the whole edit; animation drawn for two frames looks the same and may be meant.';
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
        return { ...doubtful(expected, `${words}; too little motion to be sure`, advice), at };
      }
      return whole ? missedOnlyAt(at, expected, words, advice) : missed(expected, words, advice, at);
    }
    if (!whole) {
      return unmeasured(expected, 'only the longest of many places are known one by one', advice);
    }
    if (found.name === null || found.confidence === 'low') {
      return proof
        ? unmeasured(expected, 'too little motion to tell', 'Judge the cadence by a part that moves.')
        : met(expected, 'too little motion to tell; no sign of another cadence');
    }
    return met(expected, cadenceWords(found.name));
  });
});
