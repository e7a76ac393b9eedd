/** Lines of progress in a log or a pipe come no closer than this. */
export const PACE_MS = 10_000;
