import { D65, gamutFromPrimaries } from './gamut.js';

export const SMPTE432 = gamutFromPrimaries({
  name: 'smpte432',
  title: 'P3-D65',
  source: 'SMPTE EG 432-1:2010 primaries with the D65 white; ITU-T H.273, Table 2, value 12',
  aliases: ['P3-D65', 'Display P3'],
  codePoint: 12,
  red: [0.68, 0.32],
  green: [0.265, 0.69],
  blue: [0.15, 0.06],
  white: D65,
});
