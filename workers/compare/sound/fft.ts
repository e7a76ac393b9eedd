/**
 * Discrete Fourier transform in place, of a power of two of complex samples (radix 2, decimation in time).
 *
 * @param inverse the way back, divided by the number of samples
 */
export function transform(re: Float64Array, im: Float64Array, inverse: boolean): void {
  const n = re.length;
  for (let i = 1, j = 0; i < n; i++) {
    let bit = n >> 1;
    for (; j & bit; bit >>= 1) j ^= bit;
    j ^= bit;
    if (i >= j) continue;
    for (const part of [re, im]) {
      const kept = part[i] ?? 0;
      part[i] = part[j] ?? 0;
      part[j] = kept;
    }
  }
  for (let size = 2; size <= n; size *= 2) {
    const half = size / 2;
    const angle = ((inverse ? 2 : -2) * Math.PI) / size;
    const cos = Float64Array.from({ length: half }, (_, k) => Math.cos(angle * k));
    const sin = Float64Array.from({ length: half }, (_, k) => Math.sin(angle * k));
    for (let start = 0; start < n; start += size) {
      for (let k = 0; k < half; k++) {
        const [a, b] = [start + k, start + k + half];
        const [c, s] = [cos[k] ?? 0, sin[k] ?? 0];
        const [x, y] = [re[b] ?? 0, im[b] ?? 0];
        const [u, v] = [x * c - y * s, x * s + y * c];
        re[b] = (re[a] ?? 0) - u;
        im[b] = (im[a] ?? 0) - v;
        re[a] = (re[a] ?? 0) + u;
        im[a] = (im[a] ?? 0) + v;
      }
    }
  }
  if (!inverse) return;
  for (let i = 0; i < n; i++) {
    re[i] = (re[i] ?? 0) / n;
    im[i] = (im[i] ?? 0) / n;
  }
}
