import { describe, expect, it } from 'vitest';
import { FLASH_CAUTION } from '../../../../jobs/measurement/measured-flashes.js';
import { both, none, range, uneven } from '../changes.js';
import { note, noVideo } from '../measured.js';
import { describeRows, findingOf, type Row } from '../rows.js';
import { flashKind, screened } from './measured-flashes.js';

const second = (flashes: number) => ({ flashes, area: 0.4, areaAtMost: 0.4, ...range(10, 32) });
const bad = flashKind({ worstSecond: second(3.5), ranges: [range(10, 32)] });
const near = flashKind({
  worstSecond: { ...second(0), area: 0.249, areaAtMost: 0.252 },
  nearLimit: [range(10, 32)],
});
const outOfStep = flashKind({ outOfStep: [range(0, 25)] });

const rows: readonly Row[] = [
  ['none', {}, screened(), 'pass'],
  ['three in a second', {}, screened({ general: flashKind({ worstSecond: second(3) }) }), 'pass'],
  ['more than three', {}, screened({ general: bad }), 'fail'],
  ['more than three of red', {}, screened({ red: bad }), 'fail'],
  ['a warning where the target wants one', { severity: 'warn' }, screened({ general: bad }), 'warn'],
  ['long, within the limits', {}, screened({ sustained: [range(0, 200)] }), 'warn'],
  ['an area too near the limit', {}, screened({ general: near }), 'unmeasured'],
  ['red too near the limit', {}, screened({ red: near }), 'unmeasured'],
  ['out of step', {}, screened({ general: outOfStep }), 'unmeasured'],
  ['out of step beside flashes', {}, screened({ general: bad, red: outOfStep }), 'fail'],
  ['fine detail that flickers', {}, screened({ fineDetail: [range(0, 25)] }), 'unmeasured'],
  ['fine detail beside flashes', {}, screened({ general: bad, fineDetail: [range(0, 25)] }), 'fail'],
  ['frames of uneven duration', {}, both(screened(), uneven), 'unmeasured'],
  ['flashes among frames of uneven duration', {}, both(screened({ general: bad }), uneven), 'fail'],
  ['never screened', {}, none, 'unmeasured'],
  ['not judged', {}, (m) => Object.assign(m, { flashes: null }), 'unmeasured'],
  ['doubted', {}, both(screened(), note('flashes')), 'unmeasured'],
  ['no picture', {}, noVideo, 'fail'],
];

describeRows('flashes', rows);

describe('a finding on flashes', () => {
  it.each(rows.filter(([what]) => what !== 'no picture').map((row) => ({ what: row[0], row })))(
    'says that this is a screening: $what',
    ({ row: [, limits, change] }) => {
      expect(findingOf('flashes', limits, change).measured).toContain(FLASH_CAUTION);
    },
  );
  it('says where', () => {
    const finding = findingOf('flashes', {}, screened({ general: bad }));
    expect(finding.at).toMatchObject([{ from: 10, to: 32 }]);
    expect(finding.measured).toMatch(
      /light: 3\.5 flashes in the worst second, .*22 frames from frame 10.*, at most 40 %/,
    );
    expect(finding.advice).toMatch(/approved test of the broadcaster/);
  });
  it('says how near the area is to the limit', () => {
    const finding = findingOf('flashes', {}, screened({ general: near }));
    expect(finding.at).toMatchObject([{ from: 10, to: 32 }]);
    expect(finding.measured).toMatch(/at most 24\.9 % to 25\.2 % of the screen at once/);
  });
});
