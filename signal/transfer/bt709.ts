import { BT709_CONSTANTS, bt709Shape } from './bt709-shape.js';

export const BT709_OETF = bt709Shape(
  {
    name: 'bt709',
    title: 'BT.709 OETF',
    source: 'ITU-R BT.709-6 (06/2015), Table 1, item 1.2',
    aliases: ['Rec.709'],
    codePoint: 1,
    primaries: 'bt709',
    published: {
      light: [0, 1],
      mid: {
        light: 0.18,
        signal: 0.4090077,
        tolerance: 1e-7,
        source: 'BT.709-6 item 1.2, by hand: 1.099 * 0.18^0.45 - 0.099',
      },
      seam: 2.5e-4,
    },
  },
  BT709_CONSTANTS,
);
