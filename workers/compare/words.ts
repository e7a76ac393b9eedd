import type { PictureComparison } from '../../jobs/measurement/measured-comparison.js';
import { fixed } from '../../jobs/words/numbers.js';

/** `12 of 12 bits kept`, `10.1 of 12 bits kept`. A loss is never rounded away. */
export function bitsKeptText({ bitsKept, depth }: Pick<PictureComparison, 'bitsKept' | 'depth'>): string {
  if (bitsKept >= depth) return `${depth} of ${depth} bits kept`;
  return `${fixed(Math.min(Math.floor(bitsKept * 10) / 10, depth - 0.1), 1)} of ${depth} bits kept`;
}

/** `mirrored: left and right are exchanged`. */
export function mistakeText({ name, detail }: { readonly name: string; readonly detail: string }): string {
  return `${name.replaceAll('-', ' ')}: ${detail}`;
}
