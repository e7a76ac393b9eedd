import { MOST_RUNS, type QuietRuns } from '../../../../jobs/measurement/measured-sound.js';

/**
 * The definitions of the sound's content, sample by sample and without any cleverness: what the meter is held
 * to.
 */

/** Runs `[from, to)` of indices that hold. */
export function runsWhere(length: number, holds: (index: number) => boolean): { from: number; to: number }[] {
  const runs: { from: number; to: number }[] = [];
  for (let from = 0; from < length; from++) {
    if (!holds(from)) continue;
    let to = from;
    while (to < length && holds(to)) to++;
    runs.push({ from, to });
    from = to;
  }
  return runs;
}

/**
 * Runs of 100 ms and more in which every channel is at or below a level; the longest ones in order of time.
 */
export function naiveQuiet(
  channels: readonly Float64Array[],
  sampleRate: number,
  below: number | null,
): QuietRuns {
  const limit = below === null ? 0 : 10 ** (below / 20) * (1 + 1e-9);
  const all = runsWhere(channels[0]?.length ?? 0, (i) => channels.every((c) => Math.abs(c[i] ?? 0) <= limit))
    .filter(({ from, to }) => to - from >= sampleRate / 10)
    .map(({ from, to }) => {
      const peak = Math.max(0, ...channels.flatMap((c) => Array.from(c.subarray(from, to), Math.abs)));
      return { from, to, peakDbfs: peak > 0 ? 20 * Math.log10(peak) : null };
    });
  const longest = [...all]
    .sort((a, b) => b.to - b.from - (a.to - a.from) || a.from - b.from)
    .slice(0, MOST_RUNS)
    .sort((a, b) => a.from - b.from);
  return { below, count: all.length, longest };
}

/** Runs of three and more samples at one end of the scale. */
export function naiveClips(channel: Float64Array, fullScale: number): { from: number; to: number }[] {
  return [1, -1]
    .flatMap((sign) => runsWhere(channel.length, (i) => sign * (channel[i] ?? 0) >= fullScale))
    .filter(({ from, to }) => to - from >= 3)
    .sort((a, b) => a.from - b.from);
}

export function naiveCorrelation(left: Float64Array, right: Float64Array): number {
  let [xx, yy, xy] = [0, 0, 0];
  left.forEach((x, i) => {
    const y = right[i] ?? 0;
    xx += x * x;
    yy += y * y;
    xy += x * y;
  });
  return xy / Math.sqrt(xx * yy);
}
