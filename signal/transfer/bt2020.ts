import { BT709_CONSTANTS, bt709Shape } from './bt709-shape.js';

const SOURCE = 'ITU-R BT.2020-2 (10/2015), Table 4';

/** `Rec.2020` means this one: masters are delivered in 10 bits (common practice, no source). */
export const BT2020_10_OETF = bt709Shape(
  {
    name: 'bt2020-10',
    title: 'BT.2020 OETF, 10 bits',
    source: SOURCE,
    aliases: ['Rec.2020', 'BT.2020'],
    codePoint: 14,
    primaries: 'bt2020',
    published: {
      light: [0, 1],
      mid: {
        light: 0.18,
        signal: 0.4090077,
        tolerance: 1e-7,
        source: 'BT.2020-2 Table 4, 10 bits: the figures of BT.709',
      },
      seam: 2.5e-4,
    },
  },
  BT709_CONSTANTS,
);

export const BT2020_12_OETF = bt709Shape(
  {
    name: 'bt2020-12',
    title: 'BT.2020 OETF, 12 bits',
    source: SOURCE,
    aliases: ['Rec.2020-12'],
    codePoint: 15,
    primaries: 'bt2020',
    published: {
      light: [0, 1],
      // The seamless constants: alpha 1.09929682680944, beta 0.018053968510807.
      mid: {
        light: 0.18,
        signal: 0.4088484,
        tolerance: 5e-6,
        source: 'BT.2020-2 Table 4, note: seamless constants',
      },
      seam: 1e-4,
    },
  },
  { alpha: 1.0993, beta: 0.0181 },
);
