import type { ClipFacts } from '../../../jobs/manifest/facts.js';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { count } from '../../../jobs/words/numbers.js';
import type { JudgeContext } from '../requirement.js';

export function isMeasured(original: Measurement | ClipFacts): original is Measurement {
  return 'schema' in original;
}

/**
 * Why every copy of this original is damaged too; null when the original is undamaged or was not measured.
 */
export function damageOf(original: JudgeContext['original']): string | null {
  if (original === undefined || !isMeasured(original)) return null;
  const damage = damageIn(original);
  return damage === null ? null : `the original ${damage}`;
}

/** What is damaged in a file, to follow its name: `ends early: 22 of 40 frames decoded`; null: nothing. */
export function damageIn({ decode, video }: Measurement): string | null {
  if (decode.truncated) {
    const declared = video?.framesDeclared ?? null;
    const frames = declared === null ? '' : `: ${video?.frames ?? 0} of ${count(declared, 'frame')} decoded`;
    return `ends early${frames}`;
  }
  return decode.errors > 0 ? `has ${count(decode.errors, 'decode error')}` : null;
}
