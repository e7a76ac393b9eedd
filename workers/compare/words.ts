import type { PictureComparison } from '../../jobs/measurement/measured-comparison.js';
import { fixed } from '../../jobs/words/numbers.js';

/** `12 of 12 bits kept`, `10.1 of 12 bits kept`. A loss is never rounded away. */
export function bitsKeptText({ bitsKept, depth }: Pick<PictureComparison, 'bitsKept' | 'depth'>): string {
  return `${bitsText(bitsKept, depth)} of ${depth} bits kept`;
}

/** Bits kept of so many, for all of a picture or one plane: `12`, `11.9`. */
export function bitsText(bitsKept: number, depth: number): string {
  if (bitsKept >= depth) return String(depth);
  return fixed(Math.min(Math.floor(bitsKept * 10) / 10, depth - 0.1), 1);
}

/** `mirrored: left and right are exchanged`. */
export function mistakeText({ name, detail }: { readonly name: string; readonly detail: string }): string {
  return `${name.replaceAll('-', ' ')}: ${detail}`;
}
