import { describe, expect, it, test } from 'vitest';
import { GAMUTS } from '../../signal/gamut/gamuts.js';
import { SCALES } from '../../signal/levels/scale.js';
import { byName, findNamed, type Named, shownName, spelling } from '../../signal/named.js';
import { TRANSFER_FUNCTIONS } from '../../signal/transfer/transfer-functions.js';
import { MATRICES } from '../../signal/ycbcr.js';

test('letter case, spaces and punctuation do not matter', () => {
  for (const text of ['S-Log3', 'slog3', 'S Log 3', 's_log.3']) expect(spelling(text)).toBe('slog3');
});

describe.each<[string, readonly Named[]]>([
  ['transfer functions', TRANSFER_FUNCTIONS],
  ['primaries', GAMUTS],
  ['matrices', MATRICES],
  ['scales', SCALES],
])('%s', (_what, all) => {
  it('each name belongs to one entry only, and finds it', () => {
    const words = all.flatMap(({ name, aliases }) => [name, ...aliases].map((word) => ({ name, word })));
    expect(new Set(words.map(({ word }) => spelling(word))).size).toBe(words.length);
    for (const { name, word } of words) expect(findNamed(all, ` ${word.toUpperCase()} `)?.name).toBe(name);
  });
  it('are found by their exact name alone, where that is asked for', () => {
    const find = byName(all);
    for (const one of all) expect(find(one.name)).toBe(one);
    expect(() => find('PQ')).toThrow(/"PQ"/);
  });
  it('an unknown name finds nothing', () => {
    for (const text of ['', '-', 'S-Log9']) expect(findNamed(all, text)).toBeNull();
  });
});

test('the trade name is shown beside the name, where it differs', () => {
  expect(TRANSFER_FUNCTIONS.map(shownName)).toEqual(
    expect.arrayContaining(['smpte2084 (PQ)', 'arib-std-b67 (HLG)', 'bt709 (Rec.709)', 'S-Log3']),
  );
});
