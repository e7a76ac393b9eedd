import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { count, fixed, signed } from '../../../jobs/words/numbers.js';
import { bitsKeptText, bitsText, mistakeText } from '../../compare/words.js';
import type { Row } from './row.js';

/** How a copy compares with its original, plane by plane. */
export function comparisonRows({ comparison }: Measurement): Row[] {
  if (comparison === null) return [];
  const { planes, frames, mistake, depth } = comparison;
  return [
    ['Precision', `${bitsKeptText(comparison)}, by ${count(frames.length, 'frame')} spread over the clip`],
    ...(mistake === null ? [] : [['Mistake', mistakeText(mistake)] as const]),
    ...planes.map(
      ({ plane, bitsKept, rmsError, meanError, maxError }): Row => [
        `Error of ${plane}`,
        `${bitsText(bitsKept, depth)} bits kept; ${fixed(rmsError, 2)} codes RMS, ${signed(meanError, 2)} on average, at most ${fixed(maxError, 0)}`,
      ],
    ),
  ];
}
