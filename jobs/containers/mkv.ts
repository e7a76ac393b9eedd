import type { Container } from './container.js';

/** Matroska (RFC 9559). */
export const mkv = {
  name: 'mkv',
  muxer: 'matroska',
  says: ['primaries', 'transfer', 'matrix', 'range', 'sample-aspect', 'field-order', 'chroma-siting'],
  wholeShownWidth: true,
  flags: [],
  indexFirst: [],
} as const satisfies Container;
