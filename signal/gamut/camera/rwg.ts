import { D65, gamutFromPrimaries } from '../gamut.js';

export const RWG = gamutFromPrimaries({
  name: 'RWG',
  title: 'Wide gamut RGB of Log3G10',
  source:
    'White paper on wide gamut RGB and Log3G10 (2017), section 2; from memory, verified against independent conversions',
  aliases: ['Wide Gamut RGB'],
  codePoint: null,
  red: [0.780308, 0.304253],
  green: [0.121595, 1.493994],
  blue: [0.095612, -0.084589],
  white: D65,
  adaptation: 'bradford',
});
