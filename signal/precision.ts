/**
 * How many bits of a signal survive an error, as an effective number of bits: the depth at which ideal
 * quantisation alone would leave an error of the same power.
 *
 * IEEE Std 1241 (analogue-to-digital converters), effective number of bits: `ENOB = N - log2(noise / Q')`
 * with `Q' = Q / sqrt(12)`, the RMS error of ideal quantisation in steps of Q. From memory. Applied to a
 * copy: its original is itself the signal quantised at `depth`, an error of 1/12 code squared; what the copy
 * adds comes on top, so the noise is `sqrt(mse + 1/12)` codes. A lossless copy then keeps `depth` bits, and a
 * 12-bit signal rounded to 10 bits, without bias, keeps 10: its errors of -1.5, -0.5, 0.5, 1.5 codes have a
 * mean square of 15/12, so 12 - log2(sqrt(16)).
 *
 * @param meanSquaredError of the copy against its original, in codes of `depth` squared, 0 or more
 * @returns bits, at most `depth`; 0 where less than one bit is left
 */
export function bitsKept(meanSquaredError: number, depth: number): number {
  return Math.max(0, depth - 0.5 * Math.log2(1 + 12 * meanSquaredError));
}
