import { FLASH_CAUTION, FLASH_STANDARD, type Flashes } from '../../../jobs/measurement/measured-flashes.js';
import type { RequirementName } from '../../../jobs/requirements/requirement.js';
import type { Finding } from '../../../jobs/verdict/verdict.js';
import { type Change, note, noVideo, video } from './measured.js';

type Row = readonly [what: string, limits: object, change: Change, outcome: Finding['outcome']];

const range = (from: number, to: number) => ({ from, to, fromTimecode: null, toTimecode: null });
const second = (flashes: number) => ({ flashes, area: 0.4, ...range(10, 32) });

/** A programme without a flash, with changes made to that. */
export function screened(change: Partial<Flashes> = {}): Change {
  return (m) => {
    m.flashes = {
      standard: FLASH_STANDARD,
      model: {
        signal: 'pq',
        display: 'display that shows PQ as coded',
        peak: 10_000,
        cell: 16,
        secondFrames: 25,
        saturatedRed: 'R/(R+G+B) of 0.8 or more',
      },
      general: { worstSecond: null, ranges: [] },
      red: { worstSecond: null, ranges: [] },
      sustained: [],
      fineDetail: [],
      notScreened: [],
      caution: FLASH_CAUTION,
      ...structuredClone(change),
    };
  };
}

const both =
  (...changes: readonly Change[]): Change =>
  (m) => {
    for (const change of changes) change(m);
  };
const uneven = video((v) => Object.assign(v, { constantRate: false }));
const bad = { worstSecond: second(3.5), ranges: [range(10, 32)] };

/** Rows of tests/workers/judge/requirements.test.ts. */
export const FLASH_ROWS = {
  flashes: [
    ['none', {}, screened(), 'pass'],
    ['three in a second', {}, screened({ general: { worstSecond: second(3), ranges: [] } }), 'pass'],
    ['more than three', {}, screened({ general: bad }), 'fail'],
    ['more than three of red', {}, screened({ red: bad }), 'fail'],
    ['a warning where the target wants one', { severity: 'warn' }, screened({ general: bad }), 'warn'],
    ['long, within the limits', {}, screened({ sustained: [range(0, 200)] }), 'warn'],
    ['fine detail that flickers', {}, screened({ fineDetail: [range(0, 25)] }), 'unmeasured'],
    ['fine detail beside flashes', {}, screened({ general: bad, fineDetail: [range(0, 25)] }), 'fail'],
    ['frames of uneven length', {}, both(screened(), uneven), 'unmeasured'],
    ['flashes among frames of uneven length', {}, both(screened({ general: bad }), uneven), 'fail'],
    ['never screened', {}, () => {}, 'unmeasured'],
    ['not judged', {}, (m) => Object.assign(m, { flashes: null }), 'unmeasured'],
    ['doubted', {}, both(screened(), note('flashes')), 'unmeasured'],
    ['no picture', {}, noVideo, 'fail'],
  ],
} as const satisfies Partial<Record<RequirementName, readonly Row[]>>;
