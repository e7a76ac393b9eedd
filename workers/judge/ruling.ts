import type { ClipFacts } from '../../jobs/manifest/facts.js';
import type { FrameRange, Measurement } from '../../jobs/measurement/measurement.js';
import type { PlacedName, RequirementName, RequirementSet } from '../../jobs/requirements/requirement.js';
import { intersect } from './place.js';

/** What a file is held against besides its target. */
export interface JudgeContext {
  /** The clip a copy was made from: measured, or only as its headers tell. */
  readonly original?: Measurement | ClipFacts | undefined;
}

/** Limits of one requirement, as a target sets them. */
export type Limits<N extends RequirementName> = NonNullable<RequirementSet[N]>;

/**
 * How a measurement stands to one requirement, before the target's severity turns `missed` into a word.
 * `doubtful`: inside the limits, but a person should look. `unmeasured`: it cannot be known from this measurement.
 */
export interface Ruling {
  readonly outcome: 'met' | 'doubtful' | 'missed' | 'unmeasured';
  readonly expected: string;
  readonly measured: string;
  readonly at: readonly FrameRange[];
  /** Whether `at` holds every place; false where it holds an example, such as the worst frame. */
  readonly everyPlace: boolean;
  /** What to do, one sentence; empty when met. */
  readonly advice: string;
}

export type Check<N extends RequirementName> = (
  limits: Limits<N>,
  measurement: Measurement,
  context: JudgeContext,
) => Ruling;

/** A requirement as the judge knows it: how it is checked, and in one sentence why anybody asks for it. */
export interface JudgedRequirement<N extends RequirementName> {
  readonly why: string;
  readonly check: Check<N>;
  readonly within?: CheckWithin<N>;
}

/** The same of a part of the programme, for a requirement the whole of it missed. `frames` are ordered and apart. */
export type CheckWithin<N extends RequirementName> = (
  limits: Limits<N>,
  measurement: Measurement,
  context: JudgeContext,
  frames: readonly FrameRange[],
) => Ruling;

/**
 * A requirement that can be limited to parts of the programme. Whatever holds for the whole holds for its parts, so
 * `within` is asked only where the whole misses: a requirement for which this is not true cannot be one of these.
 */
export interface PlacedRequirement<N extends PlacedName> extends JudgedRequirement<N> {
  readonly within: CheckWithin<N>;
}

/** Some requirements by name, with `within` wherever a target may limit one to parts of the programme. */
export type JudgedRequirements<All extends RequirementName> = {
  readonly [N in All]: N extends PlacedName ? PlacedRequirement<N> : JudgedRequirement<N>;
};

/** Judges parts of the programme by the events in them, for a check that reads events and no figure of the whole file. */
export function byEvents<N extends PlacedName>(check: Check<N>): CheckWithin<N> {
  return (limits, measurement, context, frames) => {
    const events = measurement.events.flatMap((event) =>
      intersect(measurement, [event], frames).map((part) => ({ ...event, ...part })),
    );
    return check(limits, { ...measurement, events }, context);
  };
}

export function met(expected: string, measured: string): Ruling {
  return { outcome: 'met', expected, measured, at: [], everyPlace: false, advice: '' };
}

export function missed(
  expected: string,
  measured: string,
  advice: string,
  at: readonly FrameRange[] = [],
): Ruling {
  return { outcome: 'missed', expected, measured, at, everyPlace: false, advice };
}

/** Missed, and at no other place than these. */
export function missedOnlyAt(
  at: readonly FrameRange[],
  expected: string,
  measured: string,
  advice: string,
): Ruling {
  return { ...missed(expected, measured, advice, at), everyPlace: at.length > 0 };
}

export function doubtful(expected: string, measured: string, advice: string): Ruling {
  return { outcome: 'doubtful', expected, measured, at: [], everyPlace: false, advice };
}

export function unmeasured(expected: string, reason: string, advice: string): Ruling {
  return {
    outcome: 'unmeasured',
    expected,
    measured: `not measured: ${reason}`,
    at: [],
    everyPlace: false,
    advice,
  };
}

/** Met or missed, where nothing more is to be said. */
export function hold(holds: boolean, expected: string, measured: string, advice: string): Ruling {
  return holds ? met(expected, measured) : missed(expected, measured, advice);
}

/** Several rulings on one requirement: the worst outcome, and everything that was measured. */
export function worstOf(rulings: readonly [Ruling, ...Ruling[]]): Ruling {
  const order: readonly Ruling['outcome'][] = ['missed', 'unmeasured', 'doubtful', 'met'];
  const outcome = order.find((o) => rulings.some((r) => r.outcome === o)) ?? 'unmeasured';
  const speaking = rulings.filter((r) => r.outcome === outcome);
  return {
    outcome,
    expected: rulings[0].expected,
    measured: speaking.map((r) => r.measured).join('; '),
    at: speaking.flatMap((r) => r.at),
    everyPlace: speaking.every((r) => r.everyPlace),
    advice: [...new Set(speaking.map((r) => r.advice).filter((a) => a !== ''))].join(' '),
  };
}
