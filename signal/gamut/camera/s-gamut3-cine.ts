import { D65, gamutFromPrimaries } from '../gamut.js';

export const S_GAMUT3_CINE = gamutFromPrimaries({
  name: 'S-Gamut3.Cine',
  title: 'S-Gamut3.Cine',
  source: 'Technical Summary for S-Gamut3.Cine/S-Log3 and S-Gamut3/S-Log3, section 2',
  aliases: [],
  codePoint: null,
  red: [0.766, 0.275],
  green: [0.225, 0.8],
  blue: [0.089, -0.087],
  white: D65,
  adaptation: 'cat02',
});
