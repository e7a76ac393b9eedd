import { expect, it } from 'vitest';
import type { PictureComparison } from '../../../../jobs/measurement/measured-comparison.js';
import { none } from '../changes.js';
import { type Change, measured, note, noVideo } from '../measured.js';
import { describeRows, findingOf } from '../rows.js';

const COMPARED: PictureComparison = {
  ...{ original: '/card/A001.mov', made: 'planned', frames: [10, 20], depth: 12, bitsKept: 10.1 },
  planes: [
    {
      ...{ plane: 'Y', bitsKept: 10.1, meanError: 0, rmsError: 1.1, maxError: 4, worstFrame: 10 },
      correlation: 0.99,
    },
  ],
  mistake: null,
};

/** A plane of which nothing shows whose picture it is; correlation and RMS error, in 12-bit codes. */
function light(correlation: number | null, rmsError: number): Partial<PictureComparison> {
  const plane = { plane: 'Y' as const, bitsKept: 2, meanError: 0, rmsError, maxError: 900, worstFrame: 10 };
  const chroma = { ...plane, plane: 'Cb' as const, correlation: 1, rmsError: 0 };
  return { bitsKept: 2, planes: [{ ...plane, correlation }, chroma] };
}

function compared(change: Partial<PictureComparison> = {}): Change {
  return (m) => {
    m.comparison = structuredClone({ ...COMPARED, ...change });
  };
}

const MIRRORED = { name: 'mirrored' as const, detail: 'left and right are exchanged', left: 0 };

describeRows('precision', [
  ['more than asked', { minBits: 10 }, compared(), 'pass'],
  ['just as asked', { minBits: 10.1 }, compared(), 'pass'],
  ['just less', { minBits: 10.11 }, compared(), 'fail'],
  ['every bit of an original with fewer', { minBits: 12 }, compared({ depth: 10, bitsKept: 10 }), 'pass'],
  [
    'not every bit of an original with fewer',
    { minBits: 12 },
    compared({ depth: 10, bitsKept: 9.9 }),
    'fail',
  ],
  ['a mistake, however many bits', { minBits: 2 }, compared({ mistake: MIRRORED }), 'fail'],
  // 41 codes are 1 % of the scale of 12 bits.
  ['other noise', { minBits: 1 }, compared(light(0, 200)), 'unmeasured'],
  ['other noise, with too few bits', { minBits: 3 }, compared(light(0, 200)), 'fail'],
  ['one colour in place of another', { minBits: 1 }, compared(light(null, 200)), 'unmeasured'],
  ['one colour, off by what nobody sees', { minBits: 1 }, compared(light(null, 20)), 'pass'],
  ['grain that coding kept half of', { minBits: 1 }, compared(light(0.6, 200)), 'pass'],
  ['not compared', { minBits: 2 }, none, 'unmeasured', measured()],
  ['no original', { minBits: 2 }, none, 'unmeasured'],
  ['sound alone, both', { minBits: 2 }, noVideo, 'pass', measured(noVideo)],
]);

it('is told in a sentence, and a loss is never rounded away', () => {
  const told = (change: Change): string => findingOf('precision', { minBits: 2 }, change).measured;
  expect(told(compared())).toBe('10.1 of 12 bits kept');
  expect(told(compared({ bitsKept: 12 }))).toBe('12 of 12 bits kept');
  expect(told(compared({ bitsKept: 11.9999 }))).toBe('11.9 of 12 bits kept');
  expect(told(compared({ mistake: MIRRORED }))).toBe(
    'mirrored: left and right are exchanged; 10.1 of 12 bits kept',
  );
});

it('says why two files could not be compared', () => {
  const change = note('comparison');
  const finding = findingOf('precision', { minBits: 2 }, change, measured());
  expect(finding.measured).toBe('not measured: the kernel said so');
});
