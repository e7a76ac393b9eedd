import {
  QUIET_LEVELS,
  type QuietRuns,
  SHORTEST_QUIET_SECONDS,
} from '../../../jobs/measurement/measured-sound.js';
import { decibels, magnitudeOf } from './decibels.js';
import type { Hop } from './hop.js';
import { LongestRuns, type SampleRun } from './longest-runs.js';

/** A sample exactly at the level counts as quiet, whatever its precision. */
const ROUNDING = 1 + 1e-9;

interface QuietRun extends SampleRun {
  readonly peak: number;
}

/** Runs below one level. */
class QuietLevel {
  readonly #limit: number;
  readonly #shortest: number;
  readonly runs = new LongestRuns<QuietRun>();
  /** Where the run at hand began, -1 outside one. */
  #from = -1;
  #peak = 0;

  constructor(limit: number, shortest: number) {
    this.#limit = limit;
    this.#shortest = shortest;
  }

  /** @param at index of the hop's first sample in the stream; @param peak of all channels. */
  push(hops: readonly Hop[], at: number, peak: number): void {
    if (peak <= this.#limit) {
      if (this.#from < 0) this.#begin(at);
      if (peak > this.#peak) this.#peak = peak;
      return;
    }
    const { from = 0, end = 0 } = hops[0] ?? {};
    if (this.#from >= 0) {
      let head = from;
      while (this.#holds(hops, head)) head++;
      this.close(at + head - from);
    }
    // A run inside one hop is shorter than any that is kept; only one that goes on from here can matter.
    let tail = end;
    this.#peak = 0;
    while (this.#holds(hops, tail - 1)) tail--;
    if (tail < end) this.#from = at + tail - from;
  }

  close(to: number): void {
    if (this.#from >= 0 && to - this.#from >= this.#shortest) {
      this.runs.add({ from: this.#from, to, peak: this.#peak });
    }
    this.#from = -1;
  }

  #begin(at: number): void {
    this.#from = at;
    this.#peak = 0;
  }

  /** Not called for a hop that is quiet from end to end, so it stops inside the hop. */
  #holds(hops: readonly Hop[], index: number): boolean {
    let peak = 0;
    for (const { samples } of hops) {
      const magnitude = Math.abs(samples[index] ?? 0);
      if (magnitude > this.#limit) return false;
      if (magnitude > peak) peak = magnitude;
    }
    if (peak > this.#peak) this.#peak = peak;
    return true;
  }
}

/**
 * Where one channel, or several together, are quiet: exact to the sample, and cheap, since only the ends of a
 * run are examined sample by sample.
 */
export class QuietMeter {
  readonly #levels: readonly { readonly below: number | null; readonly level: QuietLevel }[];

  constructor(sampleRate: number) {
    const shortest = SHORTEST_QUIET_SECONDS * sampleRate;
    this.#levels = QUIET_LEVELS.map((below) => {
      const limit = below === null ? 0 : magnitudeOf(below) * ROUNDING;
      return { below, level: new QuietLevel(limit, shortest) };
    });
  }

  /** Hops of the channels in step. @param at index of their first sample in the stream. */
  push(hops: readonly Hop[], at: number): void {
    let peak = 0;
    for (const hop of hops) if (hop.peak > peak) peak = hop.peak;
    for (const { level } of this.#levels) level.push(hops, at, peak);
  }

  /** @param samples length of the stream. */
  finish(samples: number): QuietRuns[] {
    return this.#levels.map(({ below, level }) => {
      level.close(samples);
      const longest = level.runs.longest.map(({ from, to, peak }) => ({
        from,
        to,
        peakDbfs: decibels(peak),
      }));
      return { below, count: level.runs.count, longest };
    });
  }
}
