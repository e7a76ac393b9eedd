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
  const { truncated, errors } = original.decode;
  if (truncated) {
    const declared = original.video?.framesDeclared ?? null;
    const frames =
      declared === null ? '' : `: ${original.video?.frames ?? 0} of ${count(declared, 'frame')} decoded`;
    return `the original ends early${frames}`;
  }
  return errors > 0 ? `the original has ${count(errors, 'decode error')}` : null;
}
