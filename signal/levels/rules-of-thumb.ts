import { makeRendering } from '../rendering/make-rendering.js';
import { S_LOG3 } from '../transfer/camera/s-log3.js';
import { HLG } from '../transfer/hlg.js';
import { CREW_SUBJECTS } from './crew-card.js';
import { levelOnScale } from './scale.js';

/**
 * Rules of thumb of crews, compared with the formulas. Common practice, no source. Neither is adjusted to fit
 * the other.
 */
export interface RuleOfThumb {
  readonly rule: string;
  /** What the rule allows, in `unit`. */
  readonly min: number;
  readonly max: number;
  readonly unit: string;
  /** The result of the formula, and which formula. */
  readonly figure: number;
  readonly formula: string;
  readonly agrees: boolean;
  /** Why the crew's card, which uses the standard, shows another figure for the same subject. */
  readonly card: string | null;
}

export function rulesOfThumb(): RuleOfThumb[] {
  const [, { reflectance: skin }, { reflectance: white }] = CREW_SUBJECTS;
  const { apply } = makeRendering({
    from: { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine', range: 'narrow' },
    to: { transfer: 'bt709', primaries: 'bt709', range: 'narrow' },
  });
  const rendered = (reflectance: number): number => {
    const signal = S_LOG3.oetf(reflectance);
    return 100 * apply([signal, signal, signal])[1];
  };
  const sLog3 = (reflectance: number): number => levelOnScale('S-Log3', reflectance).percent ?? Number.NaN;
  const onPq = (reflectance: number) => levelOnScale('smpte2084', reflectance);
  const onHlg = (reflectance: number): number =>
    levelOnScale('arib-std-b67', reflectance).percent ?? Number.NaN;
  const moreLight = Math.log2(HLG.inverseOetf(onHlg(white) / 100) / HLG.inverseOetf(0.5));
  return [
    rule('white card at 61 % in S-Log3', [60.5, 61.5], '%', sLog3(white), 'the curve at reflectance 0.9'),
    rule('skin near 50 % in S-Log3', [48, 52], '%', sLog3(skin), `the curve at reflectance ${skin}`),
    rule(
      'that skin near 45 cd/m2 on PQ, white at 100',
      [43, 47],
      'cd/m2',
      (100 * skin) / white,
      'scene light in proportion, no system gamma',
      `the PQ row puts that white at ${(onPq(white).nits ?? 0).toFixed(0)} cd/m2 (BT.2408), the rule at 100`,
    ),
    rule(
      'that skin at 35 to 40 % HLG, white at 50 %',
      [35, 40],
      '%',
      100 * HLG.oetf((HLG.inverseOetf(0.5) * skin) / white),
      'the HLG OETF, scene light in proportion',
      `the HLG row puts that white at ${onHlg(white).toFixed(1)} %, ${moreLight.toFixed(1)} stops brighter than the rule (BT.2408: reference white at 75 %)`,
    ),
    rule('that skin at 60 to 70 % in Rec.709', [60, 70], '%', rendered(skin), 'the rendering of goodgate'),
    rule(
      'a white card at 75 to 80 % or more there',
      [75, 100],
      '%',
      rendered(white),
      'the rendering of goodgate',
    ),
    rule('12 bits hold four times the values of 10', [4, 4], 'times', 2 ** 12 / 2 ** 10, '2^12 / 2^10'),
  ];
}

function rule(
  text: string,
  [min, max]: readonly [number, number],
  unit: string,
  figure: number,
  formula: string,
  card: string | null = null,
): RuleOfThumb {
  return { rule: text, min, max, unit, figure, formula, agrees: figure >= min && figure <= max, card };
}
