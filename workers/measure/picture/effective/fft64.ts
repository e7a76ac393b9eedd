/** Samples of a window. */
export const WINDOW = 64;

const COS = Float64Array.from({ length: WINDOW / 2 }, (_, i) => Math.cos((2 * Math.PI * i) / WINDOW));
const SIN = Float64Array.from({ length: WINDOW / 2 }, (_, i) => -Math.sin((2 * Math.PI * i) / WINDOW));
/** Bits of an index in reverse order. */
const REVERSED = Uint8Array.from({ length: WINDOW }, (_, i) => {
  let reversed = 0;
  for (let bit = 0; bit < 6; bit++) reversed |= ((i >> bit) & 1) << (5 - bit);
  return reversed;
});
/** Hann's window: leaks so little that a strong step hides nothing a quarter of the band away. */
export const HANN = Float64Array.from(
  { length: WINDOW },
  (_, i) => Math.sin((Math.PI * (i + 0.5)) / WINDOW) ** 2,
);

/**
 * Discrete Fourier transform of 64 complex samples in place, windowed first (radix 2). Entry k afterwards is
 * the frequency k / 64 cycles a sample, entries from 32 on the negative ones.
 */
export function windowedTransform(re: Float64Array, im: Float64Array): void {
  for (let i = 0; i < WINDOW; i++) {
    const j = REVERSED[i] ?? 0;
    const weight = HANN[i] ?? 0;
    if (j === i) {
      re[i] = (re[i] ?? 0) * weight;
      im[i] = (im[i] ?? 0) * weight;
    } else if (j > i) {
      const other = HANN[j] ?? 0;
      const a = (re[i] ?? 0) * weight;
      const b = (im[i] ?? 0) * weight;
      re[i] = (re[j] ?? 0) * other;
      im[i] = (im[j] ?? 0) * other;
      re[j] = a;
      im[j] = b;
    }
  }
  for (let quarter = 1; quarter < WINDOW; quarter *= 4) twoSteps(re, im, quarter);
}

/**
 * Transforms of `quarter` numbers become transforms of four times as many: two steps of radix 2, each number
 * read and written once for both.
 */
function twoSteps(re: Float64Array, im: Float64Array, quarter: number): void {
  const step = WINDOW / (4 * quarter);
  for (let i = 0; i < quarter; i++) {
    const c = COS[2 * i * step] ?? 0;
    const s = SIN[2 * i * step] ?? 0;
    const cFirst = COS[i * step] ?? 0;
    const sFirst = SIN[i * step] ?? 0;
    const cSecond = COS[(i + quarter) * step] ?? 0;
    const sSecond = SIN[(i + quarter) * step] ?? 0;
    for (let p = i; p < WINDOW; p += 4 * quarter) {
      const q = p + quarter;
      const r = q + quarter;
      const t = r + quarter;
      const re1 = re[q] ?? 0;
      const im1 = im[q] ?? 0;
      const re3 = re[t] ?? 0;
      const im3 = im[t] ?? 0;
      const x1 = re1 * c - im1 * s;
      const y1 = re1 * s + im1 * c;
      const x3 = re3 * c - im3 * s;
      const y3 = re3 * s + im3 * c;
      const re0 = re[p] ?? 0;
      const im0 = im[p] ?? 0;
      const re2 = re[r] ?? 0;
      const im2 = im[r] ?? 0;
      const sumRe = re0 + x1;
      const sumIm = im0 + y1;
      const restRe = re0 - x1;
      const restIm = im0 - y1;
      const otherRe = re2 + x3;
      const otherIm = im2 + y3;
      const lastRe = re2 - x3;
      const lastIm = im2 - y3;
      const x = otherRe * cFirst - otherIm * sFirst;
      const y = otherRe * sFirst + otherIm * cFirst;
      const u = lastRe * cSecond - lastIm * sSecond;
      const v = lastRe * sSecond + lastIm * cSecond;
      re[p] = sumRe + x;
      im[p] = sumIm + y;
      re[q] = restRe + u;
      im[q] = restIm + v;
      re[r] = sumRe - x;
      im[r] = sumIm - y;
      re[t] = restRe - u;
      im[t] = restIm - v;
    }
  }
}
