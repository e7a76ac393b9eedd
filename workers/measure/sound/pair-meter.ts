import { type ChannelPair, DECIBEL_LIMIT, PHASE_LEVELS } from '../../../jobs/measurement/measured-sound.js';
import { powerDecibels } from './decibels.js';
import type { Hop } from './hop.js';
import { LongestRuns, type SampleRun } from './longest-runs.js';

/** Windows of 400 ms, moved on by 100 ms: correlation follows the momentary loudness. On hops of 10 ms. */
const WINDOW_HOPS = 40;
const STEP_HOPS = 10;
/** Mean square of -60 dBFS RMS: below, correlation is that of noise and says nothing of the programme. */
const QUIET_MEAN_SQUARE = 1e-6;
/**
 * Windows too quiet to tell are bridged for so many steps: the pauses of speech must not hide that it is
 * inverted.
 */
const BRIDGED_STEPS = 10;

/** Runs of windows whose correlation is below one level. */
class PhaseLevel {
  readonly #below: number;
  readonly runs = new LongestRuns<SampleRun>();
  #run: { from: number; to: number } | null = null;
  #quietSteps = 0;

  constructor(below: number) {
    this.#below = below;
  }

  /** @param correlation of the window `[from, to)`; null when it is too quiet to tell. */
  push(correlation: number | null, from: number, to: number): void {
    if (correlation !== null && correlation < this.#below) {
      this.#run ??= { from, to };
      this.#run.to = to;
      this.#quietSteps = 0;
    } else if (correlation !== null || ++this.#quietSteps > BRIDGED_STEPS) this.close();
  }

  close(): void {
    if (this.#run) this.runs.add(this.#run);
    this.#run = null;
    this.#quietSteps = 0;
  }
}

/** Correlation and fold-down of a left and a right channel. */
export class PairMeter {
  readonly #hops: Float64Array[] = Array.from({ length: 4 }, () => new Float64Array(WINDOW_HOPS));
  readonly #levels = PHASE_LEVELS.map((below) => ({ below, level: new PhaseLevel(below) }));
  #count = 0;
  #products = 0;
  #lowest: { correlation: number; from: number; to: number } | null = null;

  constructor(
    readonly left: number,
    readonly right: number,
  ) {}

  /**
   * @param leftSquares sum of the squares of the left hop, @param rightSquares of the right one.
   * @param at index of their first sample in the stream. A hop cut short by the end of the stream counts in
   * no window.
   */
  push(left: Hop, right: Hop, leftSquares: number, rightSquares: number, at: number, isWhole: boolean): void {
    const products = leftSquares === 0 || rightSquares === 0 ? 0 : sumOfProducts(left, right);
    this.#products += products;
    if (!isWhole) return;
    const slot = this.#count % WINDOW_HOPS;
    const length = left.end - left.from;
    [leftSquares, rightSquares, products, length].forEach((value, row) => {
      const hops = this.#hops[row];
      if (hops) hops[slot] = value;
    });
    this.#count++;
    if (this.#count >= WINDOW_HOPS && this.#count % STEP_HOPS === 0) this.#readWindow(at + length);
  }

  #readWindow(to: number): void {
    const [leftSquares = 0, rightSquares = 0, products = 0, length = 0] = this.#hops.map(sumOf);
    const tells = Math.min(leftSquares, rightSquares) > QUIET_MEAN_SQUARE * length;
    const correlation = tells ? correlate(leftSquares, rightSquares, products) : null;
    const from = to - length;
    if (correlation !== null && (this.#lowest === null || correlation < this.#lowest.correlation)) {
      this.#lowest = { correlation, from, to };
    }
    for (const { level } of this.#levels) level.push(correlation, from, to);
  }

  /** @param leftSquares sum of the squares of all left samples, @param rightSquares of the right ones. */
  finish(leftSquares: number, rightSquares: number): ChannelPair {
    const both = leftSquares + rightSquares;
    const mid = Math.max(0, both + 2 * this.#products);
    const side = Math.max(0, both - 2 * this.#products);
    const audible = leftSquares > 0 && rightSquares > 0;
    for (const { level } of this.#levels) level.close();
    return {
      left: this.left,
      right: this.right,
      correlation: audible ? correlate(leftSquares, rightSquares, this.#products) : null,
      lowest: this.#lowest,
      foldDownLossDb: both > 0 ? limited(powerDecibels((2 * both) / mid)) : null,
      sideToMidDb: both > 0 ? limited(powerDecibels(side / mid) ?? Number.NEGATIVE_INFINITY) : null,
      outOfPhase: this.#levels.map(({ below, level }) => ({
        below,
        count: level.runs.count,
        longest: level.runs.longest,
      })),
    };
  }
}

function correlate(leftSquares: number, rightSquares: number, products: number): number {
  return Math.min(1, Math.max(-1, products / Math.sqrt(leftSquares * rightSquares)));
}

function limited(value: number | null): number {
  return Math.min(DECIBEL_LIMIT, Math.max(-DECIBEL_LIMIT, value ?? DECIBEL_LIMIT));
}

function sumOf(values: Float64Array): number {
  let sum = 0;
  for (const value of values) sum += value;
  return sum;
}

function sumOfProducts(left: Hop, right: Hop): number {
  const a = left.samples;
  const b = right.samples;
  let sum0 = 0;
  let sum1 = 0;
  let i = left.from;
  for (; i + 1 < left.end; i += 2) {
    sum0 += (a[i] ?? 0) * (b[i] ?? 0);
    sum1 += (a[i + 1] ?? 0) * (b[i + 1] ?? 0);
  }
  if (i < left.end) sum0 += (a[i] ?? 0) * (b[i] ?? 0);
  return sum0 + sum1;
}
