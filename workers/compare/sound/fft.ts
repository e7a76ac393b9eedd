/** Cosine and sine of the turns of a transform of `n` samples, by `n`: half of them each. */
const turnsOf = new Map<number, { readonly cos: Float64Array; readonly sin: Float64Array }>();

function turns(n: number): { readonly cos: Float64Array; readonly sin: Float64Array } {
  const known = turnsOf.get(n);
  if (known !== undefined) return known;
  const [cos, sin] = [new Float64Array(n / 2), new Float64Array(n / 2)];
  for (let k = 0; k < n / 2; k++) {
    cos[k] = Math.cos((2 * Math.PI * k) / n);
    sin[k] = Math.sin((2 * Math.PI * k) / n);
  }
  const made = { cos, sin };
  turnsOf.set(n, made);
  return made;
}

/**
 * Discrete Fourier transform in place, of a power of two of complex samples (radix 2, decimation in time).
 *
 * @param inverse the way back, divided by the number of samples
 */
export function transform(re: Float64Array, im: Float64Array, inverse: boolean): void {
  const n = re.length;
  reverseBits(re);
  reverseBits(im);
  const { cos, sin } = turns(n);
  for (let size = 2; size <= n; size *= 2) pass(re, im, size, cos, sin, inverse ? 1 : -1);
  if (!inverse) return;
  for (let i = 0; i < n; i++) {
    re[i] = (re[i] ?? 0) / n;
    im[i] = (im[i] ?? 0) / n;
  }
}

function reverseBits(part: Float64Array): void {
  const n = part.length;
  for (let i = 1, j = 0; i < n; i++) {
    let bit = n >> 1;
    for (; j & bit; bit >>= 1) j ^= bit;
    j ^= bit;
    if (i >= j) continue;
    const kept = part[i] ?? 0;
    part[i] = part[j] ?? 0;
    part[j] = kept;
  }
}

/** One pass over all butterflies of a size. Of its own, so that V8 compiles it once and keeps it. */
function pass(
  re: Float64Array,
  im: Float64Array,
  size: number,
  cos: Float64Array,
  sin: Float64Array,
  direction: 1 | -1,
): void {
  const n = re.length;
  const half = size / 2;
  const stride = n / size;
  for (let start = 0; start < n; start += size) {
    for (let k = 0; k < half; k++) {
      const a = start + k;
      const b = a + half;
      const c = cos[k * stride] ?? 0;
      const s = direction * (sin[k * stride] ?? 0);
      const x = re[b] ?? 0;
      const y = im[b] ?? 0;
      const u = x * c - y * s;
      const v = x * s + y * c;
      const p = re[a] ?? 0;
      const q = im[a] ?? 0;
      re[b] = p - u;
      im[b] = q - v;
      re[a] = p + u;
      im[a] = q + v;
    }
  }
}
