import { BT709_CONSTANTS, bt709Shape } from './bt709-shape.js';

const SOURCE = 'ITU-R BT.2020-2 (10/2015), Table 4';

export const BT2020_10_OETF = bt709Shape(
  { name: 'bt2020-10', title: 'BT.2020 OETF, 10 bits', source: SOURCE },
  BT709_CONSTANTS,
);

export const BT2020_12_OETF = bt709Shape(
  { name: 'bt2020-12', title: 'BT.2020 OETF, 12 bits', source: SOURCE },
  { alpha: 1.0993, beta: 0.0181 },
);
