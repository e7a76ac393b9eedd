import { D65, gamutFromPrimaries } from '../gamut.js';

export const AWG4 = gamutFromPrimaries({
  name: 'AWG4',
  title: 'Wide gamut 4',
  source:
    'LogC4 Logarithmic Color Space Specification (2022), section 3; from memory, verified against independent conversions',
  aliases: ['Wide Gamut 4'],
  codePoint: null,
  red: [0.7347, 0.2653],
  green: [0.1424, 0.8576],
  blue: [0.0991, -0.0308],
  white: D65,
  adaptation: 'cat02',
});
