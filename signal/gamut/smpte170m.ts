import { D65, gamutFromPrimaries } from './gamut.js';

export const SMPTE170M = gamutFromPrimaries({
  name: 'smpte170m',
  title: 'ST 170M (525-line)',
  source: 'SMPTE ST 170:2004, clause 5; ITU-R BT.601-7, Table 1 (525)',
  aliases: ['Rec.601-525', 'BT.601-525', 'ST 170M'],
  codePoint: 6,
  red: [0.63, 0.34],
  green: [0.31, 0.595],
  blue: [0.155, 0.07],
  white: D65,
});
