// Shifts of vectors are fast only where their width is a constant: these belong to the scales in code-scale.ts and light.ts, and the
// host compares them before it measures.

/** Fraction bits of the matrix factors. */
export const FACTOR_BITS: i32 = 12;
/** Steps to a bin of the PQ histogram. */
export const PQ_BIN_BITS: i32 = 12;
/** Bits of a float that share a bin of displayed light. */
export const POWER_SHIFT: i32 = 15;
/** Steps to an entry of the table of linear light. */
export const LIGHT_STEP_BITS: i32 = 11;
/** Steps to a short step, in which R', G', B' far outside the nominal range still fit 16 bits. */
export const SHORT_BITS: i32 = 12;
