// Sizes that the host, which lays out the memory, and the kernel must both know. Read by both compilers, so
// it imports nothing.

/** Rows that are measured together; the cells' size is a multiple of it. */
export const BLOCK = 8;
/**
 * Pixels a scratch row of 32 bits is longer than the picture: margins of the filter, and what vectors write
 * past the end.
 */
export const ROW_ROOM = 16;
/** The same for rows of 16 bits, half of it before the first pixel where the filter reaches there. */
export const SHORT_ROW_ROOM = 32;
/** Rows of a table of pairs: pairs are counted by their difference, -16 to 15. */
export const PAIR_ROWS = 32;
/**
 * The first bytes of the memory, where the kernel keeps what the host does not see. An address of 0 means
 * "none".
 */
export const KERNEL_BYTES = 4096;
