import { D65, gamutFromPrimaries } from '../gamut.js';

export const AWG3 = gamutFromPrimaries({
  name: 'AWG3',
  title: 'Wide gamut 3',
  source:
    'LogC3 white paper, Log C Curve: Usage in VFX (2017), wide gamut primaries; from memory, verified against independent conversions',
  aliases: ['Wide Gamut 3'],
  codePoint: null,
  red: [0.684, 0.313],
  green: [0.221, 0.848],
  blue: [0.0861, -0.102],
  white: D65,
  adaptation: 'cat02',
});
