import type { LineUpTone } from '../../../jobs/measurement/measured-sound.js';
import { magnitudeOf, powerDecibels } from './decibels.js';
import type { Hop } from './hop.js';

/**
 * Line-up tone is at the head; it is searched only there, since the search takes a third as long as the
 * loudness.
 */
const SEARCHED_SECONDS = 120;
const SHORTEST_SECONDS = 1;
const HERTZ = 1000;
/**
 * Fraction of the power of a hop at 1 kHz: 0.98 accepts tones up to 8 Hz off, but no programme for a whole
 * second.
 */
const SHARE = 0.98;
/** The level stays within this many dB of the first hop. */
const STEADY_DB = 0.2;
const QUIETEST = magnitudeOf(-60);

/** Finds a steady 1 kHz tone in one channel: at 10 ms a hop, which are ten whole periods of it. */
export class ToneMeter {
  readonly #sampleRate: number;
  #cosine = new Float64Array(0);
  #sine = new Float64Array(0);
  #run: { from: number; to: number; first: number; power: number; hops: number } | null = null;
  #longest: LineUpTone | null = null;

  constructor(sampleRate: number) {
    this.#sampleRate = sampleRate;
  }

  /**
   * @param at index of the hop's first sample in the stream; @param squares sum of the squares of the hop.
   */
  push({ samples, from, end, peak }: Hop, at: number, squares: number): void {
    if (at > SEARCHED_SECONDS * this.#sampleRate) {
      if (this.#run) this.#close();
      return;
    }
    const length = end - from;
    const power = peak < QUIETEST ? 0 : this.#tonePower(samples, from, length);
    if (power * length < SHARE * squares || power === 0) {
      this.#close();
      return;
    }
    const first = this.#run?.first ?? power;
    if (Math.abs(powerDecibels(power / first) ?? 0) > STEADY_DB) this.#close();
    this.#run ??= { from: at, to: at, first: power, power: 0, hops: 0 };
    this.#run.to = at + length;
    this.#run.power += power;
    this.#run.hops++;
  }

  finish(): LineUpTone | null {
    this.#close();
    return this.#longest;
  }

  /** Mean square of the part of the hop that is a 1 kHz sine. */
  #tonePower(samples: Float64Array, from: number, length: number): number {
    if (this.#cosine.length < length) this.#makeTables(length);
    let real = 0;
    let imaginary = 0;
    for (let i = 0; i < length; i++) {
      const x = samples[from + i] ?? 0;
      real += x * (this.#cosine[i] ?? 0);
      imaginary += x * (this.#sine[i] ?? 0);
    }
    return (2 * (real * real + imaginary * imaginary)) / (length * length);
  }

  #makeTables(length: number): void {
    const step = (2 * Math.PI * HERTZ) / this.#sampleRate;
    this.#cosine = Float64Array.from({ length }, (_, i) => Math.cos(step * i));
    this.#sine = Float64Array.from({ length }, (_, i) => Math.sin(step * i));
  }

  #close(): void {
    const run = this.#run;
    this.#run = null;
    if (!run || run.to - run.from < SHORTEST_SECONDS * this.#sampleRate) return;
    if (this.#longest && run.to - run.from <= this.#longest.to - this.#longest.from) return;
    // The mean square of a sine is half the square of its amplitude.
    const levelDbfs = powerDecibels((2 * run.power) / run.hops) ?? 0;
    this.#longest = { from: run.from, to: run.to, levelDbfs };
  }
}
