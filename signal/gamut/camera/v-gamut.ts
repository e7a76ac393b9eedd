import { D65, gamutFromPrimaries } from '../gamut.js';

export const V_GAMUT = gamutFromPrimaries({
  name: 'V-Gamut',
  title: 'V-Gamut',
  source:
    'V-Log/V-Gamut Reference Manual rev. 1.0 (2014), section 3; from memory, verified against independent conversions',
  aliases: [],
  codePoint: null,
  red: [0.73, 0.28],
  green: [0.165, 0.84],
  blue: [0.1, -0.03],
  white: D65,
  adaptation: 'bradford',
});
