import type { Container } from './container.js';

/** The movie file of QuickTime. */
export const mov = {
  name: 'mov',
  muxer: 'mov',
  flags: ['+write_colr'],
  indexFirst: ['+faststart'],
} as const satisfies Container;
