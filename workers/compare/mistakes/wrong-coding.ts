import type { PictureMistake } from '../../../jobs/measurement/measured-comparison.js';
import { type Matrix3, multiply3 } from '../../../signal/matrix3.js';
import { chromaLevels, lumaLevels, maxCode } from '../../../signal/quantise.js';
import { rgbToYcbcr, type YcbcrMatrixName, ycbcrToRgb } from '../../../signal/ycbcr.js';
import { forEachBlock } from './block-means.js';
import type { Codes } from './colour-samples.js';
import type { Explained, PairForm, Suspicion } from './mistake.js';

/** What the codes of the original become by a mistake: rows of three factors and what is added. */
type Change = readonly [Row, Row, Row];
type Row = readonly [number, number, number, number];

interface Recoded {
  readonly name: PictureMistake;
  readonly detail: string;
  /** Codes of the copy, were the original coded so by mistake. */
  readonly change: Change;
  /** Held between code 0 and this one; null: not held. */
  readonly most: number | null;
  /** Judged by Y' alone: chroma was resampled on the way, which is an error of its own. */
  readonly byLuma: boolean;
}

/** Range or matrix taken for another: fixed changes of the codes, nothing is fitted. */
export function suspectCoding(form: PairForm): Suspicion {
  const all = form.model === 'grey' ? [] : [...wrongRanges(form), ...wrongMatrices(form)];
  const sums = all.map((recoded) => ({ recoded, base: 0, left: 0 }));
  return {
    see: ({ original, copy }) =>
      forEachBlock(original, copy, (o, c) => {
        for (const sum of sums) addTo(sum, o, c);
      }),
    found: () =>
      sums.map(({ recoded: { name, detail }, base, left }): Explained => ({ name, detail, base, left })),
  };
}

/** Adds one block, as it is and as it would be with the mistake. */
function addTo(
  sum: { readonly recoded: Recoded; base: number; left: number },
  o: Readonly<Codes>,
  c: Readonly<Codes>,
): void {
  const { change, most, byLuma } = sum.recoded;
  const first = recoded(change[0], o, most) - c[0];
  const plain = o[0] - c[0];
  if (byLuma) {
    sum.base += plain * plain;
    sum.left += first * first;
    return;
  }
  const second = recoded(change[1], o, most) - c[1];
  const third = recoded(change[2], o, most) - c[2];
  const [plainSecond, plainThird] = [o[1] - c[1], o[2] - c[2]];
  sum.base += plain * plain + plainSecond * plainSecond + plainThird * plainThird;
  sum.left += first * first + second * second + third * third;
}

function recoded(row: Row, o: Readonly<Codes>, most: number | null): number {
  const code = row[0] * o[0] + row[1] * o[1] + row[2] * o[2] + row[3];
  return most === null ? code : Math.min(most, Math.max(0, code));
}

function wrongRanges({ model, depth }: PairForm): Recoded[] {
  const narrow = lumaLevels(depth, 'narrow');
  const full = lumaLevels(depth, 'full');
  const top = maxCode(depth);
  const light = (narrow.white - narrow.black) / (full.white - full.black);
  const { min, max, neutral } = chromaLevels(depth, 'narrow');
  const colour = (max - min) / top;
  const isRgb = model === 'rgb';
  // A factor for Y', or R'G'B', with the code that black becomes; and one for chroma around its neutral code.
  const change = (ofLight: number, black: number, ofColour: number): Change => {
    const [factor, added] = isRgb ? [ofLight, black] : [ofColour, neutral - neutral * ofColour];
    return [
      [ofLight, 0, 0, black],
      [0, factor, 0, added],
      [0, 0, factor, added],
    ];
  };
  return [
    {
      ...{ name: 'wrong-range', byLuma: false, most: null },
      detail: 'taken for full range and made narrow: contrast is too low, black lifted',
      change: change(light, narrow.black, colour),
    },
    {
      ...{ name: 'wrong-range', byLuma: false, most: top },
      detail: 'taken for narrow range and made full: contrast is too high, black and white clipped',
      change: change(1 / light, -narrow.black / light, 1 / colour),
    },
  ];
}

const COMMON: readonly (readonly [YcbcrMatrixName, string])[] = [
  ['bt709', 'BT.709'],
  ['smpte170m', 'BT.601'],
  ['bt2020nc', 'BT.2020'],
];

/** Coded with one matrix and decoded with another, on the way there or back. */
function wrongMatrices({ model, depth, range }: PairForm): Recoded[] {
  const luma = lumaLevels(depth, range);
  const chroma = chromaLevels(depth, range);
  const [light, colour] = [luma.white - luma.black, chroma.max - chroma.min];
  return COMMON.flatMap(([coded, codedName]) =>
    COMMON.flatMap(([decoded, decodedName]): Recoded[] => {
      if (coded === decoded) return [];
      const [name, detail] = ['wrong-matrix' as const, `coded by ${codedName}, decoded by ${decodedName}`];
      if (model === 'rgb') {
        const [r, g, b] = multiply3(toRgb(decoded), toYcbcr(coded));
        // Planes lie in the order G, B, R.
        const row = (of: readonly [number, number, number]): Row => [of[1], of[2], of[0], 0];
        return [{ ...{ name, detail, byLuma: false, most: null }, change: [row(g), row(b), row(r)] }];
      }
      const mixed = multiply3(toYcbcr(coded), toRgb(decoded));
      const scales = [light, colour, colour] as const;
      const bases = [luma.black, chroma.neutral, chroma.neutral] as const;
      const row = (into: 0 | 1 | 2): Row => {
        const factors = mixed[into].map((factor, from) => (factor * scales[into]) / (scales[from] ?? 1));
        const [y = 0, cb = 0, cr = 0] = factors;
        const added = bases[into] - (y * bases[0] + cb * bases[1] + cr * bases[2]);
        return [y, cb, cr, added];
      };
      return [
        {
          ...{ name, byLuma: true, most: null },
          // The picture was taken for `decoded` on its way to R'G'B' and coded again by `coded`.
          detail: `taken for ${decodedName} and coded by ${codedName}`,
          change: [row(0), row(1), row(2)],
        },
      ];
    }),
  );
}

function columns(
  of: (unit: readonly [number, number, number]) => readonly [number, number, number],
): Matrix3 {
  const [a, b, c] = [of([1, 0, 0]), of([0, 1, 0]), of([0, 0, 1])];
  return [
    [a[0], b[0], c[0]],
    [a[1], b[1], c[1]],
    [a[2], b[2], c[2]],
  ];
}

function toYcbcr(matrix: YcbcrMatrixName): Matrix3 {
  return columns((unit) => rgbToYcbcr(unit, matrix));
}

function toRgb(matrix: YcbcrMatrixName): Matrix3 {
  return columns((unit) => ycbcrToRgb(unit, matrix));
}
