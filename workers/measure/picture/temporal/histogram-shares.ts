/** Shares of the samples of one plane in one frame, from its histogram by code. */

export function samplesIn(histogram: Uint32Array): number {
  let sum = 0;
  for (let code = 0; code < histogram.length; code++) sum += histogram[code] ?? 0;
  return sum;
}

/** Samples at codes `from` to `to`, both included; limits may be fractions and lie outside. */
export function samplesBetween(histogram: Uint32Array, from: number, to: number): number {
  const last = Math.min(Math.floor(to), histogram.length - 1);
  let sum = 0;
  for (let code = Math.max(Math.ceil(from), 0); code <= last; code++) sum += histogram[code] ?? 0;
  return sum;
}

export interface Span {
  readonly from: number;
  readonly to: number;
}

/**
 * The run of codes that holds at least `share` of the samples and whose ends lie least apart in `levels`, the
 * signal of each code; the lowest of equals. Null for an empty plane.
 */
export function narrowestSpan(histogram: Uint32Array, share: number, levels: Float64Array): Span | null {
  const samples = samplesIn(histogram);
  if (samples === 0) return null;
  // Fewer than none cannot be asked for, and rounding must not ask for one more than there are.
  const wanted = Math.min(Math.max(Math.ceil(samples * share - 1e-6), 1), samples);
  let best: Span | null = null;
  let narrowest = Number.POSITIVE_INFINITY;
  let held = 0;
  let to = -1;
  for (let from = 0; from < histogram.length; from++) {
    while (held < wanted && to + 1 < histogram.length) held += histogram[++to] ?? 0;
    if (held < wanted) break;
    const width = (levels[to] ?? 0) - (levels[from] ?? 0);
    // Signals are no whole numbers: of spans of as many codes the lowest is to be found at all depths.
    if (width < narrowest - 1e-9) {
      best = { from, to };
      narrowest = width;
    }
    held -= histogram[from] ?? 0;
  }
  return best;
}
