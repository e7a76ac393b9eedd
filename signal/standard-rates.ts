import { type Rational, rational } from './rational.js';

/**
 * Frame rates of edit systems, ascending (common practice, no source; those up to 60 are in ST 12-1 or
 * BT.2100).
 */
export const STANDARD_RATES: readonly Rational[] = [
  rational(24_000, 1001),
  rational(24),
  rational(25),
  rational(30_000, 1001),
  rational(30),
  rational(48),
  rational(50),
  rational(60_000, 1001),
  rational(60),
  rational(100),
  rational(120_000, 1001),
  rational(120),
  rational(240),
];
