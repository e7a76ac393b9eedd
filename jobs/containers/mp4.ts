import type { Container } from './container.js';

/** MP4 (ISO/IEC 14496-14, on the ISO base media file format). */
export const mp4 = {
  name: 'mp4',
  muxer: 'mp4',
  carriedTags: ['primaries', 'transfer', 'matrix', 'range', 'sample-aspect'],
  wholeShownWidth: false,
  isSequence: false,
  keepsTimecode: true,
  keepsRate: true,
  keeps: { chapters: false, tags: false, subtitles: {} },
  flags: ['+write_colr'],
  indexFirst: ['+faststart'],
} as const satisfies Container;
