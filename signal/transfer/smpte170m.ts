import { BT709_CONSTANTS, bt709Shape } from './bt709-shape.js';

export const SMPTE170M_OETF = bt709Shape(
  {
    name: 'smpte170m',
    title: 'BT.601 OETF',
    source: 'ITU-R BT.601-7 (03/2011), clause 2.6.4; SMPTE ST 170:2004',
    aliases: ['Rec.601', 'BT.601', 'ST 170M'],
    codePoint: 6,
    primaries: 'smpte170m',
    published: {
      light: [0, 1],
      mid: {
        light: 0.18,
        signal: 0.4090077,
        tolerance: 1e-7,
        source: 'BT.601-7 clause 2.6.4, the figures of BT.709',
      },
      seam: 2.5e-4,
    },
  },
  BT709_CONSTANTS,
);
