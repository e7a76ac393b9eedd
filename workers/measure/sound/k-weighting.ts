/**
 * The K-weighting of ITU-R BS.1770-5, Annex 1: a high shelf for the head, then a high pass.
 *
 * The Recommendation prints coefficients for 48 kHz only. For every other rate the same analogue prototypes
 * are needed, so they are taken back out of the printed coefficients and put through the bilinear transform
 * again. The transform is warped so that each filter's own corner frequency stays where the 48 kHz filter has
 * it.
 */
export interface Biquad {
  readonly b0: number;
  readonly b1: number;
  readonly b2: number;
  readonly a1: number;
  readonly a2: number;
}

/** Sample rate of the printed coefficients, Hz. */
const PUBLISHED_RATE = 48_000;

/** BS.1770-5 Annex 1, Table 1. */
const SHELF_48K: Biquad = {
  b0: 1.53512485958697,
  b1: -2.69169618940638,
  b2: 1.19839281085285,
  a1: -1.69065929318241,
  a2: 0.73248077421585,
};

/** BS.1770-5 Annex 1, Table 2. */
const HIGH_PASS_48K: Biquad = { b0: 1, b1: -2, b2: 1, a1: -1.99004745483398, a2: 0.99007225036621 };

/**
 * The filter with the analogue response of `filter`, at another sample rate.
 *
 * With S the Laplace variable in units of the corner frequency, a biquad is
 * (n2 S^2 + n1 S + n0) / (S^2 + S/Q + 1), and S = (1/K) (1 - z^-1)/(1 + z^-1), K = tan(pi f0 / rate).
 */
function atRate(filter: Biquad, rate: number): Biquad {
  if (rate === PUBLISHED_RATE) return filter;
  const atNyquist = 1 - filter.a1 + filter.a2;
  const k48 = Math.sqrt((1 + filter.a1 + filter.a2) / atNyquist);
  const n2 = (filter.b0 - filter.b1 + filter.b2) / atNyquist;
  const n1 = (2 * (filter.b0 - filter.b2)) / atNyquist / k48;
  const n0 = (filter.b0 + filter.b1 + filter.b2) / atNyquist / (k48 * k48);
  const d1 = (2 * (1 - filter.a2)) / atNyquist / k48;

  const k = Math.tan((Math.atan(k48) * PUBLISHED_RATE) / rate);
  const a0 = 1 + d1 * k + k * k;
  return {
    b0: (n2 + n1 * k + n0 * k * k) / a0,
    b1: (2 * (n0 * k * k - n2)) / a0,
    b2: (n2 - n1 * k + n0 * k * k) / a0,
    a1: (2 * (k * k - 1)) / a0,
    a2: (1 - d1 * k + k * k) / a0,
  };
}

/** Both stages, first to last, for a sample rate in Hz. */
export function kWeighting(sampleRate: number): readonly [Biquad, Biquad] {
  return [atRate(SHELF_48K, sampleRate), atRate(HIGH_PASS_48K, sampleRate)];
}

/** Below this a filter state is inaudible by some 500 dB, and denormal numbers would only cost time. */
const SILENT_STATE = 1e-30;

/** One channel's K-weighting, with its memory. */
export class KFilter {
  readonly #shelf: Biquad;
  readonly #highPass: Biquad;
  // Transposed direct form II: two state words a stage.
  #s1 = 0;
  #s2 = 0;
  #h1 = 0;
  #h2 = 0;

  constructor(sampleRate: number) {
    [this.#shelf, this.#highPass] = kWeighting(sampleRate);
  }

  /** Sum of the squares of the weighted samples `samples[from, to)`. */
  energy(samples: Float64Array, from: number, to: number): number {
    const { b0, b1, b2, a1, a2 } = this.#shelf;
    const { b0: c0, b1: c1, b2: c2, a1: d1, a2: d2 } = this.#highPass;
    let s1 = this.#s1;
    let s2 = this.#s2;
    let h1 = this.#h1;
    let h2 = this.#h2;
    let sum = 0;
    for (let i = from; i < to; i++) {
      const x = samples[i] ?? 0;
      const y = b0 * x + s1;
      s1 = b1 * x - a1 * y + s2;
      s2 = b2 * x - a2 * y;
      const z = c0 * y + h1;
      h1 = c1 * y - d1 * z + h2;
      h2 = c2 * y - d2 * z;
      sum += z * z;
    }
    this.#s1 = flushed(s1);
    this.#s2 = flushed(s2);
    this.#h1 = flushed(h1);
    this.#h2 = flushed(h2);
    return sum;
  }
}

function flushed(state: number): number {
  return Math.abs(state) < SILENT_STATE ? 0 : state;
}
