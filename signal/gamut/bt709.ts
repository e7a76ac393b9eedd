import { D65, gamutFromPrimaries } from './gamut.js';

export const BT709 = gamutFromPrimaries({
  name: 'bt709',
  title: 'BT.709',
  source: 'ITU-R BT.709-6 (06/2015), Table 1, items 1.3 and 1.4',
  aliases: ['Rec.709', 'sRGB'],
  codePoint: 1,
  red: [0.64, 0.33],
  green: [0.3, 0.6],
  blue: [0.15, 0.06],
  white: D65,
});
