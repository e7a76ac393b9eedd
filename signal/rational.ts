/**
 * Exact rational numbers for frame rates, aspect ratios and time.
 *
 * A frame rate such as 30000/1001 has no finite decimal or binary form: with seconds as floats a look-up can
 * return the previous frame. So everything that identifies a frame is integer ticks over num/den.
 */
export interface Rational {
  readonly num: number;
  readonly den: number;
}

function gcd(a: number, b: number): number {
  let x = Math.abs(a);
  let y = Math.abs(b);
  while (y !== 0) [x, y] = [y, x % y];
  return x;
}

/** Lowest terms, positive denominator. Throws RangeError on a zero denominator or non-integers. */
export function rational(num: number, den = 1): Rational {
  if (!Number.isSafeInteger(num) || !Number.isSafeInteger(den) || den === 0) {
    throw new RangeError(`${num}/${den} is not a rational number: integers with a non-zero denominator are`);
  }
  const divisor = gcd(num, den) * Math.sign(den);
  return num === 0 ? { num: 0, den: 1 } : { num: num / divisor, den: den / divisor };
}

/** Reads `25`, `25/1`, `16:9` or `30000/1001`; null for anything else, including a zero denominator. */
export function parseRational(text: string): Rational | null {
  const match = /^(\d{1,15})(?:[/:](\d{1,15}))?$/.exec(text.trim());
  if (!match) return null;
  const den = match[2] === undefined ? 1 : Number(match[2]);
  return den === 0 ? null : rational(Number(match[1]), den);
}

/** `30000/1001`, `25/1`: always with the denominator, as in every document of this project. */
export function formatRational(value: Rational): string {
  return `${value.num}/${value.den}`;
}

export function equalRationals(a: Rational, b: Rational): boolean {
  return a.num * b.den === b.num * a.den;
}

/** The nearest double. For display and estimates only, never to find a frame. */
export function toNumber(value: Rational): number {
  return value.num / value.den;
}

/** Seconds that `frames` frames last at `rate` frames a second, as a double (display only). */
export function framesToSeconds(frames: number, rate: Rational): number {
  return (frames * rate.den) / rate.num;
}
