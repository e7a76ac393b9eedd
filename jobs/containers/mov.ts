import type { Container } from './container.js';

/** The movie file of QuickTime. */
export const mov = {
  name: 'mov',
  muxer: 'mov',
  // Its colour box, `nclc`, has no range.
  carriedTags: ['primaries', 'transfer', 'matrix', 'sample-aspect', 'field-order'],
  wholeShownWidth: false,
  isSequence: false,
  keepsTimecode: true,
  keepsRate: true,
  keeps: { chapters: false, tags: false, subtitles: {} },
  flags: ['+write_colr'],
  indexFirst: ['+faststart'],
} as const satisfies Container;
