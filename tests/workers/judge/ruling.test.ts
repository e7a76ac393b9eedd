import { describe, expect, it } from 'vitest';
import {
  doubtful,
  met,
  metIf,
  missed,
  missedOnlyAt,
  unmeasured,
  unproven,
  worstOf,
} from '../../../workers/judge/ruling.js';

const place = (from: number, to: number) => ({ from, to, fromTimecode: null, toTimecode: null });
const own = (): string => 'Own advice.';

describe('a ruling', () => {
  it.each([
    [met('m'), { outcome: 'met', measured: 'm', at: [], everyPlace: false, advice: null }],
    [missed('m'), { outcome: 'missed', measured: 'm', at: [], everyPlace: false, advice: null }],
    [
      missedOnlyAt([place(1, 2)], 'm'),
      { outcome: 'missed', measured: 'm', at: [place(1, 2)], everyPlace: true, advice: null },
    ],
    // Without a place there is nothing that a waiver of a part could cover.
    [missedOnlyAt([], 'm'), { outcome: 'missed', measured: 'm', at: [], everyPlace: false, advice: null }],
    [doubtful('m'), { outcome: 'doubtful', measured: 'm', at: [], everyPlace: false, advice: null }],
    [
      unmeasured('r', 'A.'),
      { outcome: 'unmeasured', measured: 'not measured: r', at: [], everyPlace: false, advice: 'A.' },
    ],
    [metIf(true, 'm', 'A.'), { outcome: 'met', measured: 'm', at: [], everyPlace: false, advice: null }],
    [metIf(false, 'm', 'A.'), { outcome: 'missed', measured: 'm', at: [], everyPlace: false, advice: 'A.' }],
    [
      unproven(false, 'r'),
      { outcome: 'met', measured: 'no contradiction: r', at: [], everyPlace: false, advice: null },
    ],
  ])('%j', (ruling, expected) => {
    expect(ruling).toEqual(expected);
  });
});

describe('the worst of several rulings', () => {
  it('is told by those of its outcome alone, each advice once', () => {
    const parts = [
      met('fine'),
      missed('a', { at: [place(1, 2)] }),
      unmeasured('r'),
      missedOnlyAt([place(5, 6)], 'b'),
      missed('', { advice: 'Own advice.' }),
      missed('c', { advice: 'Another.' }),
    ];
    expect(worstOf(parts, own)).toEqual({
      outcome: 'missed',
      measured: 'a; b; c',
      at: [place(1, 2), place(5, 6)],
      everyPlace: false,
      advice: 'Own advice. Another.',
    });
  });

  it.each([
    [[met('m'), doubtful('d')], 'doubtful', 'd', 'Own advice.'],
    [[doubtful('d'), unmeasured('r', 'A.')], 'unmeasured', 'not measured: r', 'A.'],
    [[unmeasured('r'), missed('m')], 'missed', 'm', 'Own advice.'],
    [[met('m'), met('n')], 'met', 'm; n', ''],
  ])('of %j', (rulings, outcome, measured, advice) => {
    expect(worstOf(rulings, own)).toMatchObject({ outcome, measured, advice });
  });

  it('knows every place only where each of them does', () => {
    const [one, other] = [missedOnlyAt([place(1, 2)], 'a'), missedOnlyAt([place(3, 4)], 'b')];
    expect(worstOf([one, other], own).everyPlace).toBe(true);
    expect(worstOf([one, missed('b')], own).everyPlace).toBe(false);
  });

  it('of none is a fault of the program', () => {
    expect(() => worstOf([], own)).toThrow('no ruling');
  });
});
