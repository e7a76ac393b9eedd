import { bitRate } from '../../../jobs/words/quantities.js';
import { defineRequirement, type Limits } from '../requirement.js';
import { metIf, unmeasured } from '../ruling.js';
import { onCoding } from './coded-picture.js';

export const requirement = defineRequirement('bit-rate', {
  title: 'Bit rate of the picture',
  why: 'Too low a rate damages the picture; too high a rate stalls storage and playout.',
  expected: (limits) => expectedRates(limits) || 'a bit rate within limits',
  advice: 'Encode the picture again within these bit rates.',
  rule: (limits, measurement, context) =>
    expectedRates(limits) === ''
      ? unmeasured('the target sets none', 'Set minMean, maxMean or maxPeak in the target, in bits a second.')
      : ruleOnRate(limits, measurement, context),
});

function expectedRates({ minMean, maxMean, maxPeak }: Limits<'bit-rate'>): string {
  const range = [
    minMean === undefined ? '' : `at least ${bitRate(minMean)}`,
    maxMean === undefined ? '' : `at most ${bitRate(maxMean)}`,
  ].filter((part) => part !== '');
  return [
    range.length === 0 ? '' : `${range.join(' and ')} on average`,
    maxPeak === undefined ? '' : `at most ${bitRate(maxPeak)} in any second`,
  ]
    .filter((part) => part !== '')
    .join(', ');
}

const ruleOnRate = onCoding<Limits<'bit-rate'>>(({ minMean, maxMean, maxPeak }, { bitRate: rate }) => {
  if (rate === null) return unmeasured('the packets carry no time stamps');
  if (maxPeak !== undefined && rate.peak === null) return unmeasured('the file is shorter than a second');
  const holds =
    (minMean === undefined || rate.mean >= minMean) &&
    (maxMean === undefined || rate.mean <= maxMean) &&
    (maxPeak === undefined || (rate.peak ?? 0) <= maxPeak);
  const peak = rate.peak === null ? '' : `, ${bitRate(rate.peak)} in the highest second`;
  return metIf(holds, `${bitRate(rate.mean)} on average${peak}`);
});
