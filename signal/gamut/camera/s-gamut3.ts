import { D65, gamutFromPrimaries } from '../gamut.js';

export const S_GAMUT3 = gamutFromPrimaries({
  name: 'S-Gamut3',
  title: 'S-Gamut3',
  source: 'Technical Summary for S-Gamut3.Cine/S-Log3 and S-Gamut3/S-Log3, section 2',
  aliases: [],
  codePoint: null,
  red: [0.73, 0.28],
  green: [0.14, 0.855],
  blue: [0.1, -0.05],
  white: D65,
  adaptation: 'cat02',
});
