import { BT709_CONSTANTS, bt709Shape } from './bt709-shape.js';

export const BT709_OETF = bt709Shape(
  { name: 'bt709', title: 'BT.709 OETF', source: 'ITU-R BT.709-6 (06/2015), Table 1, item 1.2' },
  BT709_CONSTANTS,
);
