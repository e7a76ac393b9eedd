import type { Container } from './container.js';

/** Matroska (RFC 9559). */
export const mkv = {
  name: 'mkv',
  muxer: 'matroska',
  carriedTags: ['primaries', 'transfer', 'matrix', 'range', 'sample-aspect', 'field-order', 'chroma-siting'],
  wholeShownWidth: true,
  isSequence: false,
  keepsTimecode: true,
  keepsRate: true,
  keeps: {
    chapters: true,
    tags: true,
    // MOV text is converted: words and times are kept, styles are not.
    subtitles: {
      subrip: 'copy',
      ass: 'copy',
      webvtt: 'copy',
      hdmv_pgs_subtitle: 'copy',
      dvd_subtitle: 'copy',
      dvb_subtitle: 'copy',
      mov_text: 'subrip',
    },
  },
  flags: [],
  indexFirst: [],
} as const satisfies Container;
