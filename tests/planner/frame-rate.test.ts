import { describe, expect, it } from 'vitest';
import { outputRate } from '../../planner/frame-rate.js';
import { formatRational } from '../../signal/rational.js';
import { videoFacts } from './make-facts.js';

describe('outputRate', () => {
  it.each([
    // rate, constant, wanted -> out
    ['25/1', true, 'source', '25/1'],
    ['30000/1001', true, 'source', '30000/1001'],
    // An odd rate that is constant is somebody's choice.
    ['12/1', true, 'source', '12/1'],
    ['850/39', false, 'source', '24000/1001'],
    ['29/1', false, 'source', '30000/1001'],
    // 30.03 on average, one short last frame: 30000/1001 x 1.002
    ['3003/100', false, 'source', '30000/1001'],
    ['59/1', false, 'source', '60000/1001'],
    ['240/1', false, 'source', '240/1'],
    ['850/39', false, '25/1', '25/1'],
    ['25/1', true, '50/1', '50/1'],
  ] as const)('%s, constant %s, wanted %s: %s', (frameRate, constantRate, wanted, expected) => {
    const rate = outputRate(videoFacts({ frameRate, constantRate }), wanted);
    expect(rate && formatRational(rate)).toBe(expected);
  });

  it.each([null, '0/1', '90000/1'])('has none where the clip states %s', (frameRate) => {
    expect(outputRate(videoFacts({ frameRate }), 'source')).toBeNull();
  });
});
