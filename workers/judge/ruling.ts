import type { FrameRange } from '../../jobs/measurement/measurement.js';

/**
 * Whether a measurement meets one requirement, before the severity of the target turns `missed` into `fail`
 * or `warn`. `doubtful`: inside the limits, but a person should check. `unmeasured`: not known from this
 * measurement.
 */
export interface Ruling {
  readonly outcome: 'met' | 'doubtful' | 'missed' | 'unmeasured';
  readonly measured: string;
  readonly at: readonly FrameRange[];
  /** Whether `at` lists every place; false where it lists an example, such as the worst frame. */
  readonly everyPlace: boolean;
  /** What to do, one sentence; null for the advice of the requirement. */
  readonly advice: string | null;
}

/** One ruling, or several on parts of one requirement; the worst of them count. */
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
 * Missed, and only at these places. Use it only where the list is complete: a waiver of a part relies on it.
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

/** Met or missed, by the condition. */
export function metIf(holds: boolean, measured: string, advice: string | null = null): Ruling {
  return holds ? met(measured) : missed(measured, { advice });
}

/** For a layer that declares nothing: passes only where the target requires no proof. */
export function unproven(proof: boolean, reason: string): Ruling {
  return proof ? unmeasured(reason) : met(`no contradiction: ${reason}`);
}

/**
 * Joins several rulings on one requirement: the worst outcome, with everything measured by the rulings of
 * that outcome.
 *
 * @param ownAdvice the advice of the requirement, used where a ruling has none
 */
export function worstOf(
  rulings: readonly Ruling[],
  ownAdvice: () => string,
): Ruling & { readonly advice: string } {
  const order: readonly Ruling['outcome'][] = ['missed', 'unmeasured', 'doubtful', 'met'];
  const outcome = order.find((o) => rulings.some((r) => r.outcome === o));
  if (outcome === undefined) throw new Error('a requirement has no ruling');
  const deciding = rulings.filter((r) => r.outcome === outcome);
  return {
    outcome,
    measured: deciding
      .map((r) => r.measured)
      .filter((measured) => measured !== '')
      .join('; '),
    at: deciding.flatMap((r) => r.at),
    everyPlace: deciding.every((r) => r.everyPlace),
    advice:
      outcome === 'met' ? '' : [...new Set(deciding.map(({ advice }) => advice ?? ownAdvice()))].join(' '),
  };
}
