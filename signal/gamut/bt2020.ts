import { D65, gamutFromPrimaries } from './gamut.js';

export const BT2020 = gamutFromPrimaries({
  name: 'bt2020',
  title: 'BT.2020',
  source: 'ITU-R BT.2020-2 (10/2015), Table 3; BT.2100-3, Table 2',
  aliases: ['Rec.2020', 'Rec.2100', 'BT.2100'],
  codePoint: 9,
  red: [0.708, 0.292],
  green: [0.17, 0.797],
  blue: [0.131, 0.046],
  white: D65,
});
