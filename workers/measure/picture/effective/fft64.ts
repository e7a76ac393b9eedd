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
 * Discrete Fourier transform of 64 complex samples in place, windowed first (radix 2). Entry k afterwards is the frequency k / 64 cycles a
 * sample, entries from 32 on the negative ones.
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
  for (let half = 1; half < WINDOW; half *= 2) {
    const step = WINDOW / (2 * half);
    for (let start = 0; start < WINDOW; start += 2 * half) {
      for (let i = 0; i < half; i++) {
        const c = COS[i * step] ?? 0;
        const s = SIN[i * step] ?? 0;
        const upper = start + i;
        const lower = upper + half;
        const a = re[lower] ?? 0;
        const b = im[lower] ?? 0;
        const x = a * c - b * s;
        const y = a * s + b * c;
        re[lower] = (re[upper] ?? 0) - x;
        im[lower] = (im[upper] ?? 0) - y;
        re[upper] = (re[upper] ?? 0) + x;
        im[upper] = (im[upper] ?? 0) + y;
      }
    }
  }
}
