import { type Clipping, MOST_CLIP_PLACES } from '../../../jobs/measurement/measured-sound.js';
import type { Hop } from './hop.js';

/**
 * Consecutive samples at full scale that count as clipped: common practice, no source. One or two can be a
 * legitimate peak.
 */
const SHORTEST_CLIP = 3;
/**
 * Deeper words are asked for the full scale of 16 bits: what is within 0.0003 dB of the end of the scale is
 * at its end.
 */
const DEEPEST_SCALE = 16;

/**
 * The largest magnitude both ends of the scale reach in a word of so many bits: two's complement has one code
 * more below zero than above. Without whole-number samples, and for sound decoded from lossy coding, the
 * scale ends likewise.
 */
export function fullScale(sampleDepth: number | null): number {
  return 1 - 2 ** (1 - Math.min(sampleDepth ?? DEEPEST_SCALE, DEEPEST_SCALE));
}

/**
 * Clipping of one channel: runs of full-scale samples of one sign. Sound that was clipped and attenuated
 * afterwards is not detected, nor is limited sound.
 */
export class ClipMeter {
  readonly #fullScale: number;
  /** Runs less than this many samples apart are one place. */
  readonly #apart: number;
  readonly #places: { from: number; to: number; runs: number }[] = [];
  #runs = 0;
  #samples = 0;
  #longest = 0;
  /** Sign of the full-scale samples at hand, 0 outside a run. */
  #sign = 0;
  #from = 0;

  constructor(sampleRate: number, sampleDepth: number | null) {
    this.#fullScale = fullScale(sampleDepth);
    this.#apart = sampleRate;
  }

  /** @param at index of the hop's first sample in the stream. */
  push({ samples, from, end, peak }: Hop, at: number): void {
    if (peak < this.#fullScale) {
      this.#close(at);
      return;
    }
    for (let i = from; i < end; i++) {
      const value = samples[i] ?? 0;
      const sign = value >= this.#fullScale ? 1 : value <= -this.#fullScale ? -1 : 0;
      if (sign === this.#sign) continue;
      this.#close(at + i - from);
      this.#sign = sign;
      this.#from = at + i - from;
    }
  }

  /** @param samples length of the stream. */
  finish(samples: number): Clipping {
    this.#close(samples);
    return { runs: this.#runs, samples: this.#samples, longest: this.#longest, places: this.#places };
  }

  #close(to: number): void {
    const length = to - this.#from;
    const clipped = this.#sign !== 0 && length >= SHORTEST_CLIP;
    this.#sign = 0;
    if (!clipped) return;
    this.#runs++;
    this.#samples += length;
    this.#longest = Math.max(this.#longest, length);
    const last = this.#places.at(-1);
    if (last && this.#from - last.to < this.#apart) {
      last.to = to;
      last.runs++;
    } else if (this.#places.length < MOST_CLIP_PLACES) {
      this.#places.push({ from: this.#from, to, runs: 1 });
    }
  }
}
