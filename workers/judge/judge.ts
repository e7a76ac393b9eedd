import type { Measurement } from '../../jobs/measurement/measurement.js';
import {
  REQUIREMENT_NAMES,
  type RequirementName,
  type RequirementSet,
  requirementSet,
} from '../../jobs/requirements/requirement.js';
import type { Finding, Outcome, Verdict, VerdictWord } from '../../jobs/verdict/verdict.js';
import { damageOf } from './original/damage.js';
import { joinRanges } from './place.js';
import { formatRegion, readRegions } from './regions.js';
import type { JudgeContext, Limits, RuleContext } from './requirement.js';
import { REQUIREMENTS } from './requirements.js';
import { type Ruling, type Rulings, unmeasured, worstOf } from './ruling.js';

export interface JudgedTarget {
  readonly name: string;
  readonly require: RequirementSet;
}

/**
 * Judges one measurement by one target. Pure.
 *
 * Whatever the target requires, a file that does not decode completely fails `decode`, and a copy of a
 * damaged original fails `as-original`. A requirement that cannot be judged is `unmeasured`, never left out.
 */
export function judge(measurement: Measurement, target: JudgedTarget, context: JudgeContext): Verdict {
  const require = withImplied(target.require, context);
  const lengthIsStated = require['frame-count']?.is !== undefined || require.duration?.seconds !== undefined;
  const ruleContext: RuleContext = { ...context, parts: null, lengthIsStated };
  const findings = REQUIREMENT_NAMES.flatMap((name) => {
    const limits = require[name];
    return limits === undefined ? [] : [findingOf(name, limits, measurement, ruleContext)];
  });
  return {
    schema: 'goodgate/verdict@1',
    file: measurement.file.path,
    target: target.name,
    verdict: verdictOf(findings),
    findings,
  };
}

/**
 * All findings of a file in one word. A waived finding does not fail the file, and is no pass either.
 */
export function verdictOf(findings: readonly Pick<Finding, 'outcome' | 'waiver'>[]): VerdictWord {
  if (findings.some(({ outcome, waiver }) => outcome === 'fail' && waiver === null)) return 'fail';
  return findings.some(({ outcome }) => outcome !== 'pass') ? 'warn' : 'pass';
}

function withImplied(require: RequirementSet, { original }: JudgeContext): RequirementSet {
  const implied = requirementSet.parse({
    decode: { source: 'implied: a damaged file is never fit to use' },
    'as-original': {
      frames: false,
      timecode: false,
      sound: false,
      source: 'implied: a copy of a damaged original is never fit to use',
    },
  });
  return {
    ...(damageOf(original) === null ? {} : { 'as-original': implied['as-original'] }),
    decode: implied.decode,
    ...require,
  };
}

function findingOf<N extends RequirementName>(
  name: N,
  limits: Limits<N>,
  measurement: Measurement,
  context: RuleContext,
): Finding {
  const { why, expected, advice } = REQUIREMENTS[name];
  const inWords = (words: typeof expected): string =>
    typeof words === 'string' ? words : words(limits, measurement);
  const rulings = [ruleOn(name, limits, measurement, context)].flat();
  const { severity, source = null, ...own } = limits;
  const ruling = worstOf(rulings, () => inWords(advice));
  const regions = 'regions' in limits ? (limits.regions ?? []) : [];
  const damaged = name === 'decode' || (name === 'as-original' && damageOf(context.original) !== null);
  return {
    requirement: name,
    outcome: outcomeOf(ruling, damaged ? 'fail' : severity),
    expected: [
      inWords(expected),
      ...(regions.length === 0 ? [] : [regions.map(formatRegion).join(' and ')]),
    ].join(', '),
    limits: own,
    measured: ruling.measured,
    at: joinRanges(ruling.at, 'joinGaps' in limits ? (limits.joinGaps ?? 0) : 0),
    everyPlace: ruling.everyPlace,
    why,
    advice: ruling.advice,
    source,
    waiver: null,
  };
}

/**
 * What holds for the whole programme holds for its parts; the parts are judged only where the whole misses.
 */
function ruleOn<N extends RequirementName>(
  name: N,
  limits: Limits<N>,
  measurement: Measurement,
  context: RuleContext,
): Rulings {
  const { rule, within } = REQUIREMENTS[name];
  const whole = rule(limits, measurement, context);
  const regions = 'regions' in limits ? limits.regions : undefined;
  if (regions === undefined || within === undefined || measurement.video === null) return whole;
  const { outcome } = worstOf([whole].flat(), () => '');
  if (outcome === 'met' || outcome === 'unmeasured') return whole;
  const { frames: parts, reason } = readRegions(regions, measurement);
  if (parts === null) {
    return unmeasured(reason, 'Correct the region in the target, or the timecode of the file.');
  }
  return (within === 'rule' ? rule : within)(limits, measurement, { ...context, parts });
}

function outcomeOf({ outcome }: Pick<Ruling, 'outcome'>, severity: 'fail' | 'warn'): Outcome {
  const words = { met: 'pass', doubtful: 'warn', missed: severity, unmeasured: 'unmeasured' } as const;
  return words[outcome];
}
