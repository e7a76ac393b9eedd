import { expect, it } from 'vitest';
import { typeset } from '../../../../workers/report/html/typeset.js';

// U+2212 is as long as a plus, U+00D7 the sign of multiplication, U+00A0 a blank that does not break.
it.each([
  ['-23.02 LUFS (-1 LU)', '\u221223.02\u00a0LUFS (\u22121\u00a0LU)'],
  ['-inf dBFS', '\u2212\u221e\u00a0dBFS'],
  ['1920 x 1080 at 12.35 %', '1920 \u00d7 1080 at 12.35\u00a0%'],
  ['1 min 0 s', '1\u00a0min 0\u00a0s'],
  ['1.40 GB', '1.40\u00a0GB'],
  ['take-2 of 10-bit, info inf', 'take-2 of 10-bit, info inf'],
  ['3 steps, 5 B frames', '3 steps, 5\u00a0B frames'],
])('%s', (text, set) => expect(typeset(text)).toBe(set));
