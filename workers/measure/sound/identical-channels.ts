import type { Hop } from './hop.js';

/**
 * Which channels of a stream hold the same samples. Every pair is compared until it differs for the first
 * time, so that sixteen channels cost hardly more than one.
 */
export class IdenticalChannels {
  #pairs: { readonly first: number; readonly second: number }[] = [];
  readonly #sounds: boolean[];

  constructor(channels: number) {
    this.#sounds = Array.from({ length: channels }, () => false);
    for (let first = 0; first < channels; first++) {
      for (let second = first + 1; second < channels; second++) this.#pairs.push({ first, second });
    }
  }

  /** Hops of all channels in step. */
  push(hops: readonly Hop[]): void {
    hops.forEach(({ peak }, channel) => {
      if (peak > 0) this.#sounds[channel] = true;
    });
    if (this.#pairs.length === 0) return;
    this.#pairs = this.#pairs.filter(({ first, second }) => same(hops[first], hops[second]));
  }

  /** Without those that never sounded. */
  get pairs(): { first: number; second: number }[] {
    return this.#pairs.filter(({ first }) => this.#sounds[first] === true);
  }
}

function same(a: Hop | undefined, b: Hop | undefined): boolean {
  if (!a || !b || a.peak !== b.peak) return false;
  if (a.peak === 0) return true;
  for (let i = a.from; i < a.end; i++) if (a.samples[i] !== b.samples[i]) return false;
  return true;
}
