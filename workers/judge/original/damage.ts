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
export function damageIn(measurement: Measurement): string | null {
  const { decode, video } = measurement;
  if (decode.truncated) {
    const declared = video?.framesDeclared ?? null;
    const frames = declared === null ? '' : `: ${video?.frames ?? 0} of ${count(declared, 'frame')} decoded`;
    return `ends early${frames}`;
  }
  if (decode.errors === 0) return null;
  const faulty = faultyFramesText(measurement);
  return faulty === null ? `has ${count(decode.errors, 'decode error')}` : `has faulty frames: ${faulty}`;
}

/**
 * What is wrong with single frames of a picture sequence, by their numbers: `missing: 1004, 1010-1012; empty
 * (0 bytes): 1006`; null: nothing, or no sequence.
 */
export function faultyFramesText({ events }: Measurement): string | null {
  const byWhy = new Map<string, string[]>();
  for (const { kind, detail } of events) {
    if (kind !== 'bad-frame') continue;
    const [, why = detail, numbers = ''] = /^(.*): ([\d-]+)$/.exec(detail) ?? [];
    byWhy.set(why, [...(byWhy.get(why) ?? []), numbers]);
  }
  if (byWhy.size === 0) return null;
  return [...byWhy].map(([why, numbers]) => `${why}: ${listed(numbers)}`).join('; ');
}

/** Most ranges of numbers that a sentence names. */
const MOST_NAMED = 8;

function listed(numbers: readonly string[]): string {
  const more = numbers.length - MOST_NAMED;
  return `${numbers.slice(0, MOST_NAMED).join(', ')}${more > 0 ? ` and ${more} more places` : ''}`;
}

export const SEQUENCE_AGAIN =
  'Render these frames again, or copy them again from where the sequence is whole, then make this again.';
