import { ACES_WHITE, gamutFromPrimaries } from './gamut.js';

export const AP0 = gamutFromPrimaries({
  name: 'AP0',
  title: 'ACES primaries 0 (ACES2065-1)',
  source: 'SMPTE ST 2065-1:2021, clause 4, Table 1',
  aliases: ['ACES AP0'],
  codePoint: null,
  red: [0.7347, 0.2653],
  green: [0, 1],
  blue: [0.0001, -0.077],
  white: ACES_WHITE,
});
