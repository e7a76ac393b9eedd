/** The section of the measurement that requirements on the picture over time go by, in words. */
export const TEMPORAL = { what: 'figures of the picture over time' };
