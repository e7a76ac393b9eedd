/** The section of the measurement for requirements on the picture over time, in words. */
export const TEMPORAL = { what: 'figures of the picture over time' };
