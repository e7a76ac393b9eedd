import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { count, fixed, signed } from '../../../jobs/words/numbers.js';
import {
  bitsKeptText,
  bitsText,
  doubtfulFramesText,
  inStepText,
  mistakeText,
  orderText,
  otherFramesText,
  wrongSoundText,
} from '../../compare/words.js';
import type { Row } from './row.js';

/** How a copy compares with its original: plane by plane, frame by frame, and its sound. */
export function comparisonRows(measured: Measurement): Row[] {
  return [...pictureRows(measured), ...orderRows(measured), ...soundRows(measured)];
}

function orderRows({ frameOrder }: Measurement): Row[] {
  if (frameOrder === null) return [];
  const { apart, doubtful } = frameOrder;
  const text =
    apart.length > 0
      ? otherFramesText(apart)
      : doubtful.length > 0
        ? doubtfulFramesText(doubtful)
        : orderText(frameOrder);
  return [['Order of frames', text]];
}

function soundRows({ soundComparison }: Measurement): Row[] {
  if (soundComparison === null || soundComparison.length === 0) return [];
  const wrong = soundComparison.filter(({ mistakes }) => mistakes.length > 0);
  const texts = wrong.length === 0 ? [inStepText(soundComparison)] : wrong.map(wrongSoundText);
  return texts.map((text): Row => ['Sound of the original', text]);
}

function pictureRows({ comparison }: Measurement): Row[] {
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
