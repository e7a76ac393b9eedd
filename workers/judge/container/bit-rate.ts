import { bitRate } from '../../../jobs/words/quantities.js';
import { defineRequirement, type Limits } from '../requirement.js';
import { hold, unmeasured } from '../ruling.js';
import { onCoding } from './coded-picture.js';

export const requirement = defineRequirement('bit-rate', {
  title: 'Bit rate of the picture',
  why: 'Too little shows in the picture; too much stalls storage and playout.',
  expected: (limits) => asked(limits) || 'a bit rate within limits',
  advice: 'Encode the picture again within these bit rates.',
  rule: (limits, measurement, context) =>
    asked(limits) === ''
      ? unmeasured('the target sets none', 'Give the target minMean, maxMean or maxPeak, in bits a second.')
      : ruleOnRate(limits, measurement, context),
});

function asked({ minMean, maxMean, maxPeak }: Limits<'bit-rate'>): string {
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
  if (rate === null) return unmeasured('the packets carry no times to tell by');
  if (maxPeak !== undefined && rate.peak === null) return unmeasured('the file is shorter than a second');
  const holds =
    (minMean === undefined || rate.mean >= minMean) &&
    (maxMean === undefined || rate.mean <= maxMean) &&
    (maxPeak === undefined || (rate.peak ?? 0) <= maxPeak);
  const peak = rate.peak === null ? '' : `, ${bitRate(rate.peak)} in the fullest second`;
  return hold(holds, `${bitRate(rate.mean)} on average${peak}`);
});
