import type { PictureMistake } from '../../../jobs/measurement/measured-comparison.js';
import { type Matrix3, multiply3, transform3 } from '../../../signal/matrix3.js';
import { chromaLevels, lumaLevels, maxCode } from '../../../signal/quantise.js';
import { rgbToYcbcr, type YcbcrMatrixName, ycbcrToRgb } from '../../../signal/ycbcr.js';
import { type Codes, forEachColour } from './colour-samples.js';
import type { PairForm, Suspicion } from './mistake.js';

interface Recoded {
  readonly name: PictureMistake;
  readonly detail: string;
  /** Codes of the copy, were the original coded so by mistake. */
  readonly code: (original: Readonly<Codes>, into: Codes) => void;
  /** Judged by Y' alone: chroma was resampled on the way, which is an error of its own. */
  readonly byLuma: boolean;
}

/** Range or matrix taken for another: fixed changes of the codes, nothing is fitted. */
export function suspectCoding(form: PairForm): Suspicion {
  const all = form.model === 'grey' ? [] : [...wrongRanges(form), ...wrongMatrices(form)];
  const sums = all.map(() => ({ base: 0, left: 0 }));
  const coded: Codes = [0, 0, 0];
  return {
    see: ({ original, copy }) =>
      forEachColour(original, copy, (o, c) => {
        const [ofAll, ofLuma] = [distance(o, c), (o[0] - c[0]) ** 2];
        for (const [index, { code, byLuma }] of all.entries()) {
          code(o, coded);
          const sum = sums[index];
          if (sum === undefined) continue;
          sum.base += byLuma ? ofLuma : ofAll;
          sum.left += byLuma ? (coded[0] - c[0]) ** 2 : distance(coded, c);
        }
      }),
    found: () =>
      all.map(({ name, detail }, index) => ({ name, detail, ...(sums[index] ?? { base: 0, left: 0 }) })),
  };
}

function distance([a, b, c]: Readonly<Codes>, [x, y, z]: Readonly<Codes>): number {
  return (a - x) ** 2 + (b - y) ** 2 + (c - z) ** 2;
}

function wrongRanges({ model, depth }: PairForm): Recoded[] {
  const narrow = lumaLevels(depth, 'narrow');
  const full = lumaLevels(depth, 'full');
  const most = maxCode(depth);
  const light = (narrow.white - narrow.black) / (full.white - full.black);
  const { min, max, neutral } = chromaLevels(depth, 'narrow');
  const colour = (max - min) / most;
  const held = (code: number): number => Math.min(most, Math.max(0, code));
  const isRgb = model === 'rgb';
  const squeeze = (code: number): number => narrow.black + code * light;
  const stretch = (code: number): number => held((code - narrow.black) / light);
  return [
    {
      ...{ name: 'wrong-range', byLuma: false },
      detail: 'taken for full range and made narrow: contrast is too low, black lifted',
      code: (o, into) => {
        into[0] = squeeze(o[0]);
        into[1] = isRgb ? squeeze(o[1]) : neutral + (o[1] - neutral) * colour;
        into[2] = isRgb ? squeeze(o[2]) : neutral + (o[2] - neutral) * colour;
      },
    },
    {
      ...{ name: 'wrong-range', byLuma: false },
      detail: 'taken for narrow range and made full: contrast is too high, black and white clipped',
      code: (o, into) => {
        into[0] = stretch(o[0]);
        into[1] = isRgb ? stretch(o[1]) : held(neutral + (o[1] - neutral) / colour);
        into[2] = isRgb ? stretch(o[2]) : held(neutral + (o[2] - neutral) / colour);
      },
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
        const mixed = multiply3(toRgb(decoded), toYcbcr(coded));
        return [
          {
            ...{ name, detail, byLuma: false },
            code: (o, into) => {
              // Planes lie in the order G, B, R.
              const [r, g, b] = transform3(mixed, [o[2], o[0], o[1]]);
              into[0] = g;
              into[1] = b;
              into[2] = r;
            },
          },
        ];
      }
      const mixed = multiply3(toYcbcr(coded), toRgb(decoded));
      return [
        {
          ...{ name, byLuma: true },
          // The picture was taken for `decoded` on its way to R'G'B' and coded again by `coded`.
          detail: `taken for ${decodedName} and coded by ${codedName}`,
          code: (o, into) => {
            const [y, cb, cr] = transform3(mixed, [
              (o[0] - luma.black) / light,
              (o[1] - chroma.neutral) / colour,
              (o[2] - chroma.neutral) / colour,
            ]);
            into[0] = luma.black + y * light;
            into[1] = chroma.neutral + cb * colour;
            into[2] = chroma.neutral + cr * colour;
          },
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
