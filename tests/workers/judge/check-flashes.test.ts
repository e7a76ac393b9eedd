import { describe, expect, it } from 'vitest';
import { FLASH_CAUTION } from '../../../jobs/measurement/measured-flashes.js';
import { requirementSet } from '../../../jobs/requirements/requirement.js';
import type { Finding } from '../../../jobs/verdict/verdict.js';
import { judge } from '../../../workers/judge/judge.js';
import { FLASH_ROWS } from './flash-rows.js';
import { type Change, measured } from './measured.js';

function findingOf(limits: object, change: Change): Finding | undefined {
  const require = requirementSet.parse({ flashes: limits });
  const { findings } = judge(measured(change), { name: 't', require }, {});
  return findings.find(({ requirement }) => requirement === 'flashes');
}

describe('a finding on flashes', () => {
  it.each(FLASH_ROWS.flashes.filter(([what]) => what !== 'no picture'))(
    'says that this is a screening: %s',
    (_, limits, change) => {
      expect(findingOf(limits, change)?.measured).toContain(FLASH_CAUTION);
    },
  );
  it('says where', () => {
    const [, , change] = FLASH_ROWS.flashes[2];
    const finding = findingOf({}, change);
    expect(finding?.at).toMatchObject([{ from: 10, to: 32 }]);
    expect(finding?.measured).toMatch(
      /light: 3\.5 flashes in the worst second \(frames 10 to 31\), at most 40 %/,
    );
    expect(finding?.advice).toMatch(/approved test of the broadcaster/);
  });
});
