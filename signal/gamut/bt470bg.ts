import { D65, gamutFromPrimaries } from './gamut.js';

export const BT470BG = gamutFromPrimaries({
  name: 'bt470bg',
  title: 'BT.601 625-line',
  source: 'ITU-R BT.601-7 (03/2011), Table 1 (625); first in BT.470-6 systems B, G',
  aliases: ['Rec.601-625', 'BT.601-625'],
  codePoint: 5,
  red: [0.64, 0.33],
  green: [0.29, 0.6],
  blue: [0.15, 0.06],
  white: D65,
});
