// Sizes that the host, which lays out the memory, and the kernel must both know: it compares them before it measures.

/** Rows that are measured together; the cells' size is a multiple of it. */
export const BLOCK: i32 = 8;
/** Pixels a scratch row of 32 bits is longer than the picture: margins of the filter, and what vectors write past the end. */
export const ROW_ROOM: i32 = 16;
/** The same for rows of 16 bits, half of it before the first pixel where the filter reaches there. */
export const SHORT_ROW_ROOM: i32 = 32;
/** Rows of a table of pairs. */
export const PAIR_ROWS: i32 = 32;
/** Entries of the table of light by short sum. */
export const SHORT_STEPS: i32 = 16384;
