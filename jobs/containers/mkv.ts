import type { Container } from './container.js';

/** Matroska (RFC 9559). */
export const mkv = {
  name: 'mkv',
  muxer: 'matroska',
  flags: [],
  indexFirst: [],
} as const satisfies Container;
