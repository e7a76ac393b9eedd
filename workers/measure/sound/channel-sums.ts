import { isExactSound } from '../../../jobs/codecs/codec-traits.js';
import type { Hop } from './hop.js';

/**
 * Samples are looked at as words of so many bits, the deepest that double precision and one machine word hold
 * alike.
 */
const WORD_BITS = 32;

/**
 * Bits of the whole-number samples a stream stores; null where it stores none: lossy coding has no sample
 * depth, and floating point uses its bits in another way.
 */
export function wholeNumberDepth(codec: string, bitDepth: number | null): number | null {
  if (!isExactSound(codec) || bitDepth === null) return null;
  return bitDepth >= 1 && bitDepth <= WORD_BITS ? bitDepth : null;
}

/** Mean, power and bits in use of one channel. */
export class ChannelSums {
  readonly #depth: number | null;
  /** The lowest bit the stream can store: once seen, there is nothing more to find. */
  readonly #lowest: number;
  #sum = 0;
  #squares = 0;
  #bits = 0;

  constructor(sampleDepth: number | null) {
    this.#depth = sampleDepth;
    this.#lowest = sampleDepth === null ? 0 : 1 << (WORD_BITS - sampleDepth);
  }

  /** Sum of the squares of the hop. */
  push({ samples, from, end, peak }: Hop): number {
    if (peak === 0) return 0;
    // Two sums each: a single one would wait for its own addition at every sample.
    let sum0 = 0;
    let sum1 = 0;
    let squares0 = 0;
    let squares1 = 0;
    let i = from;
    for (; i + 1 < end; i += 2) {
      const x = samples[i] ?? 0;
      const y = samples[i + 1] ?? 0;
      sum0 += x;
      sum1 += y;
      squares0 += x * x;
      squares1 += y * y;
    }
    if (i < end) {
      const x = samples[i] ?? 0;
      sum0 += x;
      squares0 += x * x;
    }
    this.#sum += sum0 + sum1;
    this.#squares += squares0 + squares1;
    if (this.#depth !== null && (this.#bits & this.#lowest) === 0) this.#readBits(samples, from, end);
    return squares0 + squares1;
  }

  #readBits(samples: Float64Array, from: number, end: number): void {
    let bits = this.#bits;
    for (let i = from; i < end; i++) bits |= (samples[i] ?? 0) * 2 ** (WORD_BITS - 1);
    this.#bits = bits;
  }

  /** As a fraction of full scale; null without samples. */
  mean(samples: number): number | null {
    return samples === 0 ? null : this.#sum / samples;
  }

  meanSquare(samples: number): number {
    return samples === 0 ? 0 : this.#squares / samples;
  }

  get squares(): number {
    return this.#squares;
  }

  /** From the sign down to the lowest bit ever set; null when nothing is known of bits. */
  get usedBits(): number | null {
    if (this.#depth === null || this.#bits === 0) return null;
    return Math.clz32(this.#bits & -this.#bits) + 1;
  }
}
