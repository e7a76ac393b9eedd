import { D65, gamutFromPrimaries } from '../gamut.js';

export const C_GAMUT = gamutFromPrimaries({
  name: 'C-Gamut',
  title: 'Cinema gamut',
  source:
    'C-Log gamma curves document v1.2 (2018), Cinema Gamut; from memory, verified against independent conversions',
  aliases: ['Cinema Gamut'],
  codePoint: null,
  red: [0.74, 0.27],
  green: [0.17, 1.14],
  blue: [0.08, -0.1],
  white: D65,
  adaptation: 'cat02',
});
