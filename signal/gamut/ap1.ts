import { ACES_WHITE, gamutFromPrimaries } from './gamut.js';

export const AP1 = gamutFromPrimaries({
  name: 'AP1',
  title: 'ACES primaries 1 (ACEScct, ACEScg)',
  source: 'ACES S-2014-004, clause 4.1; S-2016-001, clause 4.2',
  aliases: ['ACES AP1'],
  codePoint: null,
  red: [0.713, 0.293],
  green: [0.165, 0.83],
  blue: [0.128, 0.044],
  white: ACES_WHITE,
});
