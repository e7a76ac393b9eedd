import type { FrameRange } from '../../jobs/measurement/measurement.js';

/**
 * How a measurement stands to one requirement, before the target's severity turns `missed` into a word.
 * `doubtful`: inside the limits, but a person should look. `unmeasured`: it cannot be known from this
 * measurement.
 */
export interface Ruling {
  readonly outcome: 'met' | 'doubtful' | 'missed' | 'unmeasured';
  readonly measured: string;
  readonly at: readonly FrameRange[];
  /** Whether `at` holds every place; false where it holds an example, such as the worst frame. */
  readonly everyPlace: boolean;
  /** What to do, one sentence; null for what the requirement itself advises. */
  readonly advice: string | null;
}

/** One ruling, or several on parts of one requirement, of which the worst speak. */
export type Rulings = Ruling | readonly Ruling[];

export function met(measured: string): Ruling {
  return { outcome: 'met', measured, at: [], everyPlace: false, advice: null };
}

export function missed(
  measured: string,
  { at = [], advice = null }: { readonly at?: readonly FrameRange[]; readonly advice?: string | null } = {},
): Ruling {
  return { outcome: 'missed', measured, at, everyPlace: false, advice };
}

/**
 * Missed, and at no other place than these: only where none is missing, since a waiver of a part goes by it.
 */
export function missedOnlyAt(at: readonly FrameRange[], measured: string): Ruling {
  return { ...missed(measured, { at }), everyPlace: at.length > 0 };
}

export function doubtful(measured: string, advice: string | null = null): Ruling {
  return { outcome: 'doubtful', measured, at: [], everyPlace: false, advice };
}

export function unmeasured(reason: string, advice: string | null = null): Ruling {
  return { outcome: 'unmeasured', measured: `not measured: ${reason}`, at: [], everyPlace: false, advice };
}

/** Met or missed, where nothing more is to be said. */
export function hold(holds: boolean, measured: string, advice: string | null = null): Ruling {
  return holds ? met(measured) : missed(measured, { advice });
}

/** Where a layer says nothing: what cannot be told passes where no proof is asked for. */
export function unproven(proof: boolean, reason: string): Ruling {
  return proof ? unmeasured(reason) : met(`no contradiction: ${reason}`);
}

/**
 * Several rulings on one requirement as one: the worst outcome, and everything that was measured of it.
 *
 * @param ownAdvice what the requirement advises where a ruling has no better
 */
export function worstOf(
  rulings: readonly Ruling[],
  ownAdvice: () => string,
): Ruling & { readonly advice: string } {
  const order: readonly Ruling['outcome'][] = ['missed', 'unmeasured', 'doubtful', 'met'];
  const outcome = order.find((o) => rulings.some((r) => r.outcome === o));
  if (outcome === undefined) throw new Error('a requirement was ruled on without a ruling');
  const speaking = rulings.filter((r) => r.outcome === outcome);
  return {
    outcome,
    measured: speaking
      .map((r) => r.measured)
      .filter((measured) => measured !== '')
      .join('; '),
    at: speaking.flatMap((r) => r.at),
    everyPlace: speaking.every((r) => r.everyPlace),
    advice:
      outcome === 'met' ? '' : [...new Set(speaking.map(({ advice }) => advice ?? ownAdvice()))].join(' '),
  };
}
