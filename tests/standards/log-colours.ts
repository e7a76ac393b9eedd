import type { Colour } from '../../jobs/manifest/colour.js';
import { seeded } from '../../signal/lut/lut-error.js';
import type { Vector3 } from '../../signal/matrix3.js';
import {
  chromaPosition,
  decodeChroma,
  decodeLuma,
  encodeChroma,
  encodeLuma,
  lumaPosition,
  roundHalfAwayFromZero,
} from '../../signal/quantise.js';
import { makeRendering } from '../../signal/rendering/make-rendering.js';
import { nominalOfSignal, signalOfNominal } from '../../signal/rendering/rendering-colour.js';
import { rgbToYcbcr, ycbcrToRgb } from '../../signal/ycbcr.js';

export const S_LOG3: Colour = {
  transfer: 'S-Log3',
  primaries: 'S-Gamut3.Cine',
  matrix: 'bt709',
  range: 'narrow',
};
export const RENDERED_TO: readonly Colour[] = [
  { transfer: 'bt709', primaries: 'bt709', matrix: 'bt709', range: 'narrow' },
  { transfer: 'smpte2084', primaries: 'bt2020', matrix: 'bt2020nc', range: 'narrow' },
  { transfer: 'arib-std-b67', primaries: 'bt2020', matrix: 'bt2020nc', range: 'narrow' },
];

const RAMP = 1024;
const RANDOM = 10_000;
export const WIDTH = 128;
/** Even, so that every sampling can carry it. */
export const HEIGHT = 2 * Math.ceil((RAMP + RANDOM) / WIDTH / 2);

/** A log ramp over every 10-bit code, then at least 10,000 random colours, as R'G'B' codes of 10 bits. */
export function logColours(): Vector3[] {
  const random = seeded(20_260);
  const code = (): number => Math.floor(random() * 1024);
  return Array.from(
    { length: WIDTH * HEIGHT },
    (_, i): Vector3 => (i < RAMP ? [i, i, i] : [code(), code(), code()]),
  );
}

/** R'G'B' codes to BT.709 Y'CbCr codes, as a camera would write them. */
export function ycbcrCodes(colour: Vector3): Vector3 {
  const [y, cb, cr] = rgbToYcbcr(
    each(colour, (code) => decodeLuma(code, 10, 'narrow')),
    'bt709',
  );
  return [encodeLuma(y, 10, 'narrow'), encodeChroma(cb, 10, 'narrow'), encodeChroma(cr, 10, 'narrow')];
}

/**
 * Where the formulas, in double precision, put the Y'CbCr of S-Log3 codes in the target: positions on the
 * 10-bit scale.
 */
export function expectedPositions(codes: readonly Vector3[], to: Colour): Vector3[] {
  const { matrix } = to;
  if (matrix === 'gbr') throw new Error("no Y'CbCr matrix");
  const { apply } = makeRendering({ from: S_LOG3, to });
  return codes.map(([y, cb, cr]) => {
    const nominal = ycbcrToRgb(
      [decodeLuma(y, 10, 'narrow'), decodeChroma(cb, 10, 'narrow'), decodeChroma(cr, 10, 'narrow')],
      'bt709',
    );
    const rendered = apply(each(nominal, (v) => signalOfNominal(v, S_LOG3)));
    const [luma, blue, red] = rgbToYcbcr(
      each(rendered, (signal) => nominalOfSignal(signal, to)),
      matrix,
    );
    return [
      lumaPosition(luma, 10, 'narrow'),
      chromaPosition(blue, 10, 'narrow'),
      chromaPosition(red, 10, 'narrow'),
    ];
  });
}

/**
 * Errors in codes: of the codes against the rounded formula, and against the formula itself (rounding counted
 * in).
 */
export function codeErrors(planes: readonly (readonly number[])[], positions: readonly Vector3[]) {
  const rounded: number[] = [];
  const exact: number[] = [];
  for (const [i, position] of positions.entries()) {
    for (const [plane, want] of position.entries()) {
      const got = planes[plane]?.[i] ?? Number.NaN;
      rounded.push(Math.abs(got - roundHalfAwayFromZero(want)));
      exact.push(Math.abs(got - want));
    }
  }
  return { rounded: summary(rounded), exact: summary(exact) };
}

export function summary(errors: readonly number[]): { mean: number; p999: number; worst: number } {
  const sorted = [...errors].sort((a, b) => a - b);
  const at = (share: number): number => sorted[Math.ceil(share * sorted.length) - 1] ?? Number.NaN;
  return { mean: sorted.reduce((sum, e) => sum + e, 0) / sorted.length, p999: at(0.999), worst: at(1) };
}

function each([r, g, b]: Vector3, map: (value: number) => number): Vector3 {
  return [map(r), map(g), map(b)];
}
