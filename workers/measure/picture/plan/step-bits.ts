// Widths of the scales on which everything is counted. The kernel has them compiled in, since vectors are
// shifted fast only by constants: this file is read by both compilers, ours and the kernel's, and so imports
// nothing.

/**
 * The kernel counts on one integer scale for every depth: full scale is 2^26, so a code of n bits is `code <<
 * (26 - n)`. A 10-bit code is 65,536 steps, the matrix is exact to half of one, and R'G'B' far outside the
 * nominal range still fits 32 bits.
 */
export const SCALE_BITS = 26;

/**
 * Fraction bits of the matrix's factors: the largest, 1.89 for blue of BT.2020 at 8 bits, then fills 31 bits.
 */
export const FACTOR_BITS = 12;

/**
 * Steps to a short step, 1/16 of a 10-bit code: R', G', B' far outside the nominal range still fit 16 bits.
 * Kernels first look at eight sums of these at once.
 */
export const SHORT_BITS = 12;

/** Short steps of a scale: entries of a table by short sums. */
export const SHORT_STEPS = 1 << (SCALE_BITS - SHORT_BITS);

/** Steps that share one entry of a table of light: 2^11 is 1/32 of a 10-bit code. */
export const LIGHT_STEP_BITS = 11;

/**
 * Steps that share a bin of the PQ histogram: 2^12, a short step, is 1/16 of a 10-bit code. A PQ code is
 * about 1 % of light at 1,000 cd/m2, so an average over the bins is right to 0.03 %, and exactly right for
 * neutral codes up to 14 bits; where pixels share their chroma the twentieth of a code their short sums may
 * be off (`ShortFactors`) is all. A peak is that of the exact sums.
 */
export const PQ_BIN_BITS = 12;

/**
 * HLG is counted by the fifth power of its light: a display of 1,000 cd/m2 has a system gamma of 1.2, so that
 * the light of a channel is E Y^(1/5), and its fifth power E^5 Y needs no root. Bins are 8 bits of its
 * fraction: light in a bin differs by 0.08 % at most, and an average over the bins is right to 0.04 %; where
 * pixels share their chroma to 0.08 % and 0.001 cd/m2, since their short sums are off by a twentieth of a
 * code.
 */
export const POWER_SHIFT = 15;

/**
 * Scene light is counted in bins that grow with it: 9 bits of a float's fraction, so a bin is 0.2 % wide, and
 * all of them lie close in the cache.
 */
export const FLOAT_BIN_SHIFT = 14;
/** Lights below 2^-14 share bin 0; above 2^15 the last. */
const FLOAT_FLOOR_EXPONENT = -14;
const FLOAT_TOP_EXPONENT = 15;
export const FLOAT_BIN_BASE = (127 + FLOAT_FLOOR_EXPONENT) << (23 - FLOAT_BIN_SHIFT);
export const FLOAT_BINS = (FLOAT_TOP_EXPONENT - FLOAT_FLOOR_EXPONENT) << (23 - FLOAT_BIN_SHIFT);
