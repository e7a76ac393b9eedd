import { BT709_CONSTANTS, bt709Shape } from './bt709-shape.js';

export const SMPTE170M_OETF = bt709Shape(
  {
    name: 'smpte170m',
    title: 'BT.601 OETF',
    source: 'ITU-R BT.601-7 (03/2011), clause 2.6.4; SMPTE ST 170:2004',
  },
  BT709_CONSTANTS,
);
