import { describe, expect, it } from 'vitest';
import { parseScale } from '../../jobs/manifest/colour-words.js';
import { CREW_SUBJECTS, crewCard } from '../../signal/levels/crew-card.js';
import { parseLevel } from '../../signal/levels/parse-level.js';
import { rulesOfThumb } from '../../signal/levels/rules-of-thumb.js';
import { levelOnScale, type ScaleName } from '../../signal/levels/scale.js';

const at = (text: string, from: ScaleName | null, to: ScaleName) =>
  levelOnScale(to, parseLevel(text, from).reflectance);

/**
 * Published code values of 0 / 18 / 90 % reflectance. S-Log3, V-Log, F-Log: printed in the curves' own
 * documents; the others calculated from the published formula outside this project.
 */
describe('camera curves at 10 bits', () => {
  it.each([
    ['S-Log3', 95, 420, 598],
    ['V-Log', 128, 433, 602],
    ['F-Log', 95, 470, 705],
    ['LogC3', 95, 400, 572],
    ['LogC4', 95, 285, 428],
    ['F-Log2', 95, 400, 570],
    ['C-Log3', 128, 351, 577],
    ['N-Log', 127, 372, 603],
    ['ACEScct', 75, 423, 559],
  ] as const)('%s', (scale, black, grey, white) => {
    expect([0, 0.18, 0.9].map((reflectance) => levelOnScale(scale, reflectance).code10)).toEqual([
      black,
      grey,
      white,
    ]);
  });
  it('12 bits of the documents, S-Log3 1681 / 2393 (calculated)', () => {
    expect([0.18, 0.9].map((reflectance) => levelOnScale('S-Log3', reflectance).code12)).toEqual([
      1681, 2393,
    ]);
  });
});

/**
 * ITU-R BT.2100-3 Table 4, calculated; anchors 100 -> 509, 203 -> 573, 1000 -> 723, 4000 -> 855 published.
 */
describe('luminance on PQ and HLG', () => {
  it.each([
    [1, 49, 195, 781],
    [26, 99, 397, 1588],
    [100, 127, 509, 2036],
    [203, 143, 573, 2291],
    [1000, 181, 723, 2890],
    [4000, 214, 855, 3419],
    [10000, 235, 940, 3760],
  ])('%d cd/m2', (nits, code8, code10, code12) => {
    const level = at(`${nits}nits`, 'smpte2084', 'smpte2084');
    expect(level).toMatchObject({ code8, code10, code12 });
    expect(level.nits).toBeCloseTo(nits, 6);
  });
  it('HLG 75 % is 203 cd/m2 on a display of 1,000, and PQ 58 % (BT.2408-8 Table 1)', () => {
    expect(at('75%', 'arib-std-b67', 'arib-std-b67')).toMatchObject({ code10: 721 });
    expect(at('75%', 'arib-std-b67', 'arib-std-b67').nits).toBeCloseTo(203.15, 1);
    expect(at('75%', 'arib-std-b67', 'smpte2084').percent).toBeCloseTo(58, 0);
    expect(at('75%', 'arib-std-b67', 'reflectance').reflectance).toBeCloseTo(1, 9);
  });
  // BT.2408-8 Table 1: 18 / 83 / 90 / 100 %.
  it.each([
    [18, 26, 38, 38],
    [83, 162, 56, 71],
    [90, 179, 57, 73],
    [100, 203, 58, 75],
  ])('%d %% reflectance', (percent, nits, pq, hlg) => {
    expect(Math.abs((at(`${percent}%`, 'reflectance', 'smpte2084').nits ?? 0) / nits - 1)).toBeLessThan(0.01);
    expect(Math.abs((at(`${percent}%`, 'reflectance', 'smpte2084').percent ?? 0) - pq)).toBeLessThanOrEqual(
      0.5,
    );
    expect(
      Math.abs((at(`${percent}%`, 'reflectance', 'arib-std-b67').percent ?? 0) - hlg),
    ).toBeLessThanOrEqual(0.5);
  });
});

/** BT.1886 Annex 1 (0.5^2.4 = 0.1894646), white 100 cd/m2; IEC 61966-2-1 (0.5 is 0.214041), white 80. */
describe('light on a display', () => {
  it.each([
    ['bt709', 18.94646],
    ['smpte170m', 18.94646],
    ['bt2020-10', 18.94646],
    ['bt1886', 18.94646],
    ['iec61966-2-1', 80 * 0.214041],
    ['smpte2084', 92.2457],
    // BT.2100-3 Table 5: scene light 1/12, and 1000 x (1/12)^1.2 of the reference display.
    ['arib-std-b67', 1000 * (1 / 12) ** 1.2],
  ] as const)('half the signal of %s, there and back', (scale, nits) => {
    expect(Math.abs((at('50%', scale, scale).nits ?? 0) - nits)).toBeLessThan(1e-3);
    expect(Math.abs((at(`${nits}nits`, scale, scale).percent ?? 0) - 50)).toBeLessThan(1e-3);
  });
  it('grey is one light on both SDR displays, each in its own signal', () => {
    // BT.709-6 item 1.2: 0.4090077; BT.1886: to the power of 2.4; sRGB: 1.055 x 0.4090077 - 0.055.
    const srgb = 100 * (1.055 * 0.4090077 - 0.055);
    expect(at('18%', 'reflectance', 'iec61966-2-1').percent).toBeCloseTo(srgb, 5);
    expect(at(`${srgb}%`, 'iec61966-2-1', 'reflectance').reflectance).toBeCloseTo(0.18, 5);
  });
  it('below black there is none, and a camera curve or linear light states none', () => {
    expect(at('-5%', 'iec61966-2-1', 'iec61966-2-1').nits).toBe(0);
    for (const scale of ['S-Log3', 'linear'] as const)
      expect(at('18%', 'reflectance', scale).nits).toBeNull();
    expect(() => parseLevel('10nits', 'S-Log3')).toThrow(/^S-Log3 is a camera curve/);
    expect(() => parseLevel('10nits', 'reflectance')).toThrow(/reflectance has no cd\/m2/);
  });
});

describe('what has no figure', () => {
  it('a code that the depth does not hold, and what follows from it', () => {
    // BT.709 at reflectance 2 is 140 % of the narrow range: code 1293.
    expect(at('200%', 'reflectance', 'bt709')).toEqual({
      scale: 'bt709',
      code8: null,
      code10: null,
      code12: null,
      percent: null,
      nits: null,
      reflectance: 2,
      stops: Math.log2(2 / 0.18),
    });
  });
  it('the lowest and the highest code have one', () => {
    expect(at('0', 'S-Log3', 'S-Log3').code10).toBe(0);
    expect(at('1023', 'S-Log3', 'S-Log3').code10).toBe(1023);
  });
  it('stops of no light', () => {
    expect(at('0%', 'reflectance', 'reflectance').stops).toBeNull();
    expect(at('36%', 'reflectance', 'reflectance').stops).toBeCloseTo(1, 12);
  });
});

describe('forms of a level', () => {
  it.each([
    ['61%', 'S-Log3', 0.904],
    ['598', 'S-Log3', 0.9],
    ['598@10', 'S-Log3', 0.9],
    ['2393@12', 'S-Log3', 0.9],
    ['0stops', null, 0.18],
    ['+1.5stops', null, 0.18 * 2 ** 1.5],
    ['-2 stops', null, 0.045],
    ['90%', 'reflectance', 0.9],
    ['203nits', null, 1],
    ['100 nits', 'bt709', 1],
    ['422', 'bt709', 0.18],
    [' 422@10 ', 'bt709', 0.18],
    ['-30stops', null, 0.18 * 2 ** -30],
    ['30stops', null, 0.18 * 2 ** 30],
  ] as const)('%s on %s', (text, from, reflectance) => {
    expect(Math.abs(parseLevel(text, from).reflectance / reflectance - 1)).toBeLessThan(0.01);
  });
  it.each([
    ['50', 'S-Log3', 'a code value of 10 bits; percent is written 50%'],
    ['50@12', 'S-Log3', 'a code value of 12 bits'],
    ['50%', 'S-Log3', 'percent of the narrow range'],
    ['50%', 'reflectance', 'percent of the light that falls on it'],
    ['50nits', null, 'light on the display, cd/m2'],
    ['+1stops', 'S-Log3', 'stops from 18 % grey'],
  ] as const)('%s on %s is said to be %s', (text, from, readAs) => {
    expect(parseLevel(text, from).readAs).toBe(readAs);
  });
  it('a scale is named where one was used: PQ for cd/m2 without one, none for stops', () => {
    expect(parseLevel('203nits', null).scale).toBe('smpte2084');
    expect(parseLevel('+1stops', 'S-Log3').scale).toBeNull();
  });
  it.each([
    ['598', null, /without its scale/],
    ['61%', null, /without its scale/],
    ['203nits', 'S-Log3', /camera curve/],
    ['2000', 'S-Log3', /does not fit in 10 bits/],
    ['500@7', 'S-Log3', /8 to 16/],
    ['500', 'reflectance', /percent/],
    ['900%', 'bt709', /-10 to 120/],
    ['20000nits', null, /0 to 10000/],
    ['sixty', 'bt709', /no level/],
    ['', 'bt709', /no level.*598@10/],
    ['x598', 'bt709', /no level/],
    ['598x', 'bt709', /no level/],
    ['31stops', null, /31 stops: -30 to 30 are read/],
    ['-31stops', null, /-31 stops: -30 to 30 are read/],
    ['-1nits', null, /-1 cd\/m2: 0 to 10000 are read/],
    ['121%', 'bt709', /121 % of the narrow range: -10 to 120 are read/],
    ['-1%', 'reflectance', /-1 % reflectance: 0 to 100000 are read/],
    ['500@17', 'S-Log3', /17 bits: 8 to 16 are read/],
    ['1e3%', 'reflectance', /no level/],
  ] as const)('refuses %j on %s', (text, from, reason) => {
    expect(() => parseLevel(text, from)).toThrow(reason);
  });
  it('reads scales whatever their case, and names the nearest otherwise', () => {
    expect(parseScale('s-LOG3')).toBe('S-Log3');
    expect(() => parseScale('S-Log9')).toThrow(/the nearest is S-Log3$/);
  });
});

describe('figures without a meaning are null', () => {
  it.each([
    ['reflectance', 0.18, { code10: null, percent: null, nits: null, reflectance: 0.18 }],
    ['S-Log3', 0.18, { nits: null }],
    // Thirty times a diffuser is far above the last code of BT.709 and of HLG.
    ['bt709', 30, { code8: null, code10: null, code12: null, percent: null, nits: null, reflectance: 30 }],
    ['arib-std-b67', 30, { code10: null, percent: null, nits: null }],
    ['S-Log3', 0, { stops: null, code10: 95 }],
  ] as const)('%s at %d', (scale, reflectance, expected) => {
    expect(levelOnScale(scale, reflectance)).toMatchObject(expected);
  });
});

/**
 * The trade's own rules: common practice, no source. Those the formulas do not meet must be said to differ.
 */
describe('rules of thumb', () => {
  it.each([
    ['white card at 61 % in S-Log3', true, 60.96],
    ['skin near 50 % in S-Log3', true, 50],
    // 100 x 0.38 / 0.9.
    ['that skin near 45 cd/m2 on PQ, white at 100', false, 42.2],
    // 50 % is in the square-root part of HLG: 50 x sqrt(0.38 / 0.9).
    ['that skin at 35 to 40 % HLG, white at 50 %', false, 50 * Math.sqrt(0.38 / 0.9)],
    ['12 bits hold four times the values of 10', true, 4],
  ])('%s: agrees %s', (rule, agrees, figure) => {
    const found = rulesOfThumb().find((one) => one.rule === rule);
    expect(found?.agrees).toBe(agrees);
    expect(found?.figure).toBeCloseTo(figure, 1);
  });
  it('skin and white through the BT.709 rendering are where the trade wants them', () => {
    const rendered = rulesOfThumb().filter(({ formula }) => formula.includes('rendering'));
    expect(rendered).toHaveLength(2);
    for (const { figure, min, max } of rendered) {
      expect(figure).toBeGreaterThanOrEqual(min);
      expect(figure).toBeLessThanOrEqual(max);
    }
  });
  it('where card and rule put white elsewhere, it says so and by how much', () => {
    const noteOf = (word: string) => rulesOfThumb().find(({ rule }) => rule.includes(word))?.card;
    // BT.2408-8 Table 1: 90 % reflectance is 179 cd/m2 and 73 % HLG. 50 % HLG is scene light 1/12, 75 % is
    // 0.265 (BT.2100-3 Table 5): log2(0.9 x 0.265 x 12) = 1.52.
    expect(noteOf('cd/m2 on PQ')).toMatch(/at 179 cd\/m2/);
    expect(noteOf('% HLG')).toMatch(/at 72\.9 %, 1\.5 stops brighter/);
    expect(noteOf('S-Log3')).toBeNull();
  });
  it('each says what, in which unit and by which formula', () => {
    for (const { rule, unit, formula } of rulesOfThumb()) {
      for (const text of [rule, unit, formula]) expect(text).toMatch(/^\S/);
    }
  });
  it('the card has a row for every scale and a level for every subject', () => {
    for (const { levels } of crewCard()) expect(levels).toHaveLength(CREW_SUBJECTS.length);
  });
});
