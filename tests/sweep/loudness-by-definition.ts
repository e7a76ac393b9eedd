/**
 * Programme loudness of decoded samples, written a second time after ITU-R BS.1770-5 Annex 1, as slowly and
 * as plainly as it can be: whole channels are filtered, then cut into blocks. The two filters are made for
 * any rate by the bilinear transform from a corner, a gain and a Q (those for which it gives the
 * coefficients the Recommendation prints for 48 kHz, to ten digits; from memory), not from the printed
 * coefficients.
 */
const SHELF = { corner: 1681.974450955533, gainDb: 3.999843853973347, q: 0.7071752369554196 };
const SHELF_BEND = 0.4996667741545416;
const HIGH_PASS = { corner: 38.13547087602444, q: 0.5003270373238773 };

/**
 * Weights by ffmpeg's names of layouts, in the order of their channels: BS.1770-5 Annex 1 Table 3, Annex 3.
 */
const WEIGHTS: Readonly<Record<string, readonly number[]>> = {
  mono: [1],
  stereo: [1, 1],
  '2.1': [1, 1, 0],
  '3.0': [1, 1, 1],
  quad: [1, 1, 1.41, 1.41],
  '5.0': [1, 1, 1, 1.41, 1.41],
  '5.0(side)': [1, 1, 1, 1.41, 1.41],
  '5.1': [1, 1, 1, 0, 1.41, 1.41],
  '5.1(side)': [1, 1, 1, 0, 1.41, 1.41],
};

/** @param samples interleaved, 1 at full scale. LUFS; null without known weights or without a loud block. */
export function programmeLoudness(
  samples: Float64Array,
  channels: number,
  rate: number,
  layout: string | null,
): number | null {
  const weights = WEIGHTS[layout ?? ''];
  if (weights?.length !== channels) return null;
  const filtered = weights.map((_, channel) => {
    const own = samples.filter((_, i) => i % channels === channel);
    return highPass(shelf(own, rate), rate);
  });
  const length = Math.round(0.4 * rate);
  const step = Math.round(0.1 * rate);
  const blocks: number[] = [];
  for (let from = 0; from + length <= samples.length / channels; from += step) {
    const power = filtered.map((values) => {
      const squares = values.subarray(from, from + length).reduce((sum, value) => sum + value * value, 0);
      return squares / length;
    });
    blocks.push(power.reduce((sum, value, channel) => sum + value * (weights[channel] ?? 0), 0));
  }
  const absolute = blocks.filter((power) => lufs(power) > -70);
  const relative = absolute.filter((power) => lufs(power) > lufs(mean(absolute)) - 10);
  return relative.length === 0 ? null : lufs(mean(relative));
}

const lufs = (power: number): number => -0.691 + 10 * Math.log10(power);
const mean = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;

function shelf(samples: Float64Array, rate: number): Float64Array {
  const k = Math.tan((Math.PI * SHELF.corner) / rate);
  const high = 10 ** (SHELF.gainDb / 20);
  const bend = high ** SHELF_BEND;
  const a0 = 1 + k / SHELF.q + k * k;
  return directForm(
    samples,
    [
      (high + (bend * k) / SHELF.q + k * k) / a0,
      (2 * (k * k - high)) / a0,
      (high - (bend * k) / SHELF.q + k * k) / a0,
    ],
    [(2 * (k * k - 1)) / a0, (1 - k / SHELF.q + k * k) / a0],
  );
}

function highPass(samples: Float64Array, rate: number): Float64Array {
  const k = Math.tan((Math.PI * HIGH_PASS.corner) / rate);
  const a0 = 1 + k / HIGH_PASS.q + k * k;
  const g = passGain() / a0;
  return directForm(samples, [g, -2 * g, g], [(2 * (k * k - 1)) / a0, (1 - k / HIGH_PASS.q + k * k) / a0]);
}

/**
 * What it lets through is 0.04 dB too loud: at 48 kHz the numerator is printed as 1, -2, 1. Other rates are
 * to have the same response.
 */
function passGain(): number {
  const k = Math.tan((Math.PI * HIGH_PASS.corner) / 48_000);
  return 1 + k / HIGH_PASS.q + k * k;
}

function directForm(
  x: Float64Array,
  [b0, b1, b2]: readonly [number, number, number],
  [a1, a2]: readonly [number, number],
): Float64Array {
  const y = new Float64Array(x.length);
  for (let n = 0; n < x.length; n++) {
    y[n] =
      b0 * (x[n] ?? 0) +
      b1 * (x[n - 1] ?? 0) +
      b2 * (x[n - 2] ?? 0) -
      a1 * (y[n - 1] ?? 0) -
      a2 * (y[n - 2] ?? 0);
  }
  return y;
}
