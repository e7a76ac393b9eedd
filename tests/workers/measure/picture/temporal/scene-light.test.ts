import { describe, expect, it } from 'vitest';
import { maxCode } from '../../../../../signal/quantise.js';
import { BT709_OETF } from '../../../../../signal/transfer/bt709.js';
import { PQ } from '../../../../../signal/transfer/pq.js';
import { transferFunction } from '../../../../../signal/transfer/transfer-functions.js';
import { lightLevels } from '../../../../../workers/measure/picture/temporal/light-levels.js';
import {
  BLACK,
  Clip,
  type Frame,
  flat,
  frames,
  graded,
  hash,
  matted,
  type Raster,
  shot,
  spans,
} from './watch-clip.js';

/** Pictures whose codes are those of scene light: floats in PQ steps, integers, and two camera logs. */
const CODED = [
  { transfer: 'linear-pq', depth: 16, range: 'full', model: 'rgb' },
  { transfer: 'linear', depth: 16, range: 'full', model: 'rgb' },
  { transfer: 'S-Log3', depth: 10, range: 'narrow', model: 'ycbcr' },
  // Black is at 12.5 % of the codes (128 of 1023), and 10.5 % of full range at 107.
  { transfer: 'V-Log', depth: 10, range: 'full', model: 'rgb' },
] as const;
type Coded = (typeof CODED)[number];

/** The signal, 0 to 1 of the range of the codes, of this much scene light. */
function signalOf(light: number, { transfer, depth, range }: Coded): number {
  const curve = transferFunction(transfer);
  const signal = curve.referred === 'scene' ? curve.oetf(light) : Number.NaN;
  return range === 'narrow' ? (signal * maxCode(depth) - 64) / 876 : signal;
}
/** A frame given in signals of BT.709, as the scene it shows. */
function lit(frame: Frame, coded: Coded): Frame {
  return (x, y) => signalOf(BT709_OETF.inverseOetf(Number(frame(x, y))), coded);
}
const clip = (coded: Coded, of: readonly Frame[]) => {
  const raster: Raster = { width: 96, height: 54, ...coded };
  return new Clip(
    of.map((frame) => lit(frame, coded)),
    raster,
  ).figures();
};

describe.each(CODED)('scene light as $transfer, $range', (coded) => {
  // What is black, of one colour or a bar in BT.709 is so here: the same scene.
  it('no picture is black, of one colour or still; black, colours and bars are found', () => {
    const noisy = graded(flat(0.5), (level, x, y) => level + (hash(x, y, 1) - 0.5) * 0.01);
    const seen = clip(coded, [
      ...frames(14, (n) => matted(shot(1, n), { top: 6, bottom: 6 })),
      BLACK,
      flat(0.1),
      flat(0.11),
      noisy,
      // Three stops up: brighter than a diffuser in most of it.
      graded(shot(2), (level) => level * 2.5),
    ]);
    expect(spans(seen.black.ranges)).toEqual([[14, 16]]);
    expect(spans(seen.constantColour.ranges)).toEqual([
      [16, 17],
      [17, 18],
    ]);
    expect(seen.constantColour.ranges[1]?.spread).toBeLessThan(0.02);
    expect(seen.freeze.ranges).toEqual([]);
    expect(seen.activePicture.area).toEqual({ left: 0, top: 6, width: 96, height: 42 });
  });
});

/** Fog or snow: soft, and 12 % of the BT.709 signal from its darkest to its brightest. */
const FOG: Frame = (x) => 0.6 + 0.12 * ((x + 0.5) / 96 - 0.5);

describe('fog', () => {
  it.each([
    ...CODED,
    { transfer: 'S-Log3', depth: 10, range: 'full', model: 'rgb' } as const,
    { transfer: 'V-Log', depth: 10, range: 'narrow', model: 'ycbcr' } as const,
  ])('as $transfer, $range spans what it spans in BT.709', (coded) => {
    // 90 % of a ramp of 12 % are 10.8 %: over the 10.5 % of EBU QC item 0016B, and not listed.
    expect(spans(clip(coded as Coded, [FOG, FOG]).constantColour.ranges)).toEqual([]);
    const less: Frame = (x, y) => 0.6 + (Number(FOG(x, y)) - 0.6) / 2;
    const [range] = clip(coded as Coded, [less, less]).constantColour.ranges;
    // Half of it is, with its span: rounding to codes adds one at either end.
    expect(Math.abs((range?.spread ?? 0) - 0.054)).toBeLessThan(0.005);
  });
});

describe('limits in codes', () => {
  // BT.709-6 item 1.2, by hand: ((0.105 + 0.099) / 1.099)^(1 / 0.45) = 0.02371 of a diffuser.
  it.each([
    ['linear-pq', 16, 'full', 65535 * PQ.inverseEotf(0.02371)],
    ['linear', 16, 'full', 65535 * 0.02371],
    // Published: S-Log3 technical summary, (420 + log10((x + 0.01) / 0.19) x 261.5) / 1023.
    ['S-Log3', 10, 'narrow', 420 + Math.log10(0.03371 / 0.19) * 261.5],
    // A share of the signal, as EBU QC item 0016B has it.
    ['smpte2084', 10, 'narrow', 64 + 0.105 * 876],
    ['arib-std-b67', 10, 'narrow', 64 + 0.105 * 876],
    ['bt709', 10, 'narrow', 64 + 0.105 * 876],
    [null, 10, 'narrow', 64 + 0.105 * 876],
  ] as const)('10.5 %% of %s', (transfer, depth, range, code) => {
    const at = lightLevels(depth, { transfer, range }).codeAt(0.105);
    expect(Math.abs(at - code) / maxCode(depth)).toBeLessThan(1e-4);
  });
  /** Codes of 10 bits from a level of 50 % of BT.709 to one of 53 %: 0.25974 and 0.29399 of a diffuser. */
  const [FROM, TO] = [0.5, 0.53].map((level) => ((level + 0.099) / 1.099) ** (1 / 0.45)) as [number, number];
  /** The same of a display, by BT.1886 and the 203 cd/m2 of BT.2408. */
  const [DIM, LIT] = [203 * 0.5 ** 2.4, 203 * 0.53 ** 2.4] as const;
  it.each([
    // Published: S-Log3 technical summary; V-Log reference manual, 0.241514 log10(x + 0.00873) + 0.598206.
    ['S-Log3', (light: number) => 420 + Math.log10((light + 0.01) / 0.19) * 261.5],
    ['V-Log', (light: number) => 1023 * (0.241514 * Math.log10(light + 0.00873) + 0.598206)],
  ] as const)('3 %% of %s, whatever the range flag says', (transfer, codeOf) => {
    for (const range of ['narrow', 'full'] as const) {
      const { levelOf } = lightLevels(10, { transfer, range });
      expect(levelOf(codeOf(TO)) - levelOf(codeOf(FROM)), range).toBeCloseTo(0.03, 5);
    }
    // 3 % of the codes were 26 to 31 of them, and are no more than half of that.
    expect(codeOf(TO) - codeOf(FROM)).toBeLessThan(15);
  });
  it('3 % of PQ and of HLG', () => {
    const pq = lightLevels(10, { transfer: 'smpte2084', range: 'narrow' });
    const codeOf = (nits: number): number => 64 + 876 * PQ.inverseEotf(nits);
    expect(pq.levelOf(codeOf(LIT)) - pq.levelOf(codeOf(DIM))).toBeCloseTo(0.03, 5);
    // BT.2408-8, table 1: a diffuser is at 75 %; BT.2100-3, table 5: up to 1/12 the signal is (3 E)^0.5.
    const hlg = lightLevels(10, { transfer: 'arib-std-b67', range: 'narrow' });
    const diffuser = (Math.exp((0.75 - 0.55991073) / 0.17883277) + 0.28466892) / 12;
    const hlgCodeOf = (light: number): number => 64 + 876 * Math.sqrt(3 * light * diffuser);
    expect(hlg.levelOf(hlgCodeOf(TO)) - hlg.levelOf(hlgCodeOf(FROM))).toBeCloseTo(0.03, 5);
    expect(hlg.levelOf(64 + 876 * 0.75)).toBeCloseTo(1, 5);
  });
  it('floats: 18 % grey and a diffuser are at the signals of BT.709, and stops above are even', () => {
    const { levelOf } = lightLevels(16, { transfer: 'linear-pq', range: 'full' });
    const levelAt = (light: number): number => levelOf(65535 * PQ.inverseEotf(light));
    expect(levelAt(0)).toBe(0);
    // BT.709-6 item 1.2, by hand: 1.099 x 0.18^0.45 - 0.099.
    expect(levelAt(0.18)).toBeCloseTo(0.4090077, 6);
    expect(levelAt(1)).toBeCloseTo(1, 6);
    expect(levelAt(8) - levelAt(4)).toBeCloseTo(levelAt(4) - levelAt(2), 6);
  });
});
