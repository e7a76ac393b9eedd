import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Finding, Verdict } from '../../../jobs/verdict/verdict.js';
import { verdict as verdictSchema } from '../../../jobs/verdict/verdict.js';
import { type Waiver, waiver } from '../../../jobs/verdict/waivers.js';
import { verdictExitCode } from '../../../workers/judge/exit-code.js';
import { applyWaivers, WAIVER_FINDING } from '../../../workers/judge/waive.js';
import { measured } from './measured.js';

const SHA = 'a'.repeat(64);
const OTHER_SHA = 'b'.repeat(64);

function finding(requirement: string, outcome: Finding['outcome'], more: Partial<Finding> = {}): Finding {
  return {
    requirement,
    outcome,
    expected: 'e',
    limits: {},
    measured: 'm',
    at: [],
    everyPlace: false,
    why: 'w',
    advice: 'a',
    source: null,
    waiver: null,
    ...more,
  };
}
const place = (from: number, to: number) => ({ from, to, fromTimecode: null, toTimecode: null });
const places = (...ranges: [number, number][]): Partial<Finding> => ({
  at: ranges.map(([from, to]) => place(from, to)),
  everyPlace: true,
});
const verdictOf = (...findings: Finding[]): Verdict => ({
  schema: 'goodgate/verdict@1',
  file: '/m/master.mov',
  target: 'uhd-pq-master',
  verdict: 'fail',
  findings,
});
function given(more: object = {}): Waiver {
  return waiver.parse({
    finding: 'signal-range',
    by: 'R. Ibarra, supervisor',
    why: 'Neon sign, approved by the director.',
    until: '2026-11-25',
    sha256: SHA,
    ...more,
  });
}
/** 25 November 2026; 250 frames at 25 frames/s from 10:00:00:00. */
const TODAY = { sha256: SHA, today: '2026-11-25', measurement: measured() };
const noticeOf = (verdict: Verdict) => verdict.findings.find((f) => f.requirement === WAIVER_FINDING);

describe('a waiver that holds', () => {
  it.each<[string, Finding, object[]]>([
    ['of the whole finding', finding('signal-range', 'fail', places([10, 20])), [{}]],
    ['of a finding without places', finding('signal-range', 'fail'), [{}]],
    [
      'of a finding that names only its worst frame',
      finding('signal-range', 'fail', { at: [place(1, 2)] }),
      [{}],
    ],
    ['of a warning', finding('signal-range', 'warn'), [{}]],
    ['of what could not be measured', finding('signal-range', 'unmeasured'), [{ unmeasured: true }]],
    ['by this target', finding('signal-range', 'fail'), [{ target: 'uhd-pq-master' }]],
    ['for years', finding('signal-range', 'fail'), [{ until: '2031-01-01' }]],
    [
      'of all its places, in frames',
      finding('signal-range', 'fail', places([10, 20], [30, 31])),
      [{ range: { from: 10, to: 31 } }],
    ],
    [
      'of all its places, in timecode',
      finding('signal-range', 'fail', places([25, 50])),
      [{ range: { from: '10:00:01:00', to: '10:00:02:00' } }],
    ],
    [
      'with an open end',
      finding('signal-range', 'fail', places([240, 250])),
      [{ range: { from: '10:00:09:15' } }],
    ],
    [
      'in parts that touch',
      finding('signal-range', 'fail', places([10, 20])),
      [{ range: { from: 0, to: 15 } }, { range: { from: 15, to: 40 } }],
    ],
    ['beside one that is expired', finding('signal-range', 'fail'), [{ until: '2026-01-01' }, {}]],
  ])('%s', (_, one, waivers) => {
    const before = verdictOf(one, finding('raster', 'pass'));
    const after = applyWaivers(before, waivers.map(given), TODAY);
    expect(after.verdict).toBe('warn');
    expect(after.findings[0]).toMatchObject({
      outcome: one.outcome,
      waiver: { by: 'R. Ibarra, supervisor', why: 'Neon sign, approved by the director.' },
    });
    expect(noticeOf(after)).toBeUndefined();
    expect(verdictExitCode([after], { strict: true })).toBe(0);
    expect(verdictSchema.parse(after)).toEqual(after);
    expect(before.findings[0]?.waiver).toBeNull();
  });

  it('of parts by two people names both, and the day the first of them ends', () => {
    const parts = [
      given({ range: { from: 0, to: 15 }, by: 'A', why: 'x', until: '2027-01-01' }),
      given({ range: { from: 15, to: 40 }, by: 'B', why: 'y', until: '2026-12-01' }),
      given({ range: { from: 100, to: 140 }, by: 'C', why: 'z', until: '2026-11-30' }),
    ];
    const after = applyWaivers(verdictOf(finding('signal-range', 'fail', places([10, 20]))), parts, TODAY);
    expect(after.findings[0]?.waiver).toEqual({ by: 'A; B', why: 'x; y', until: '2026-12-01' });
  });

  it('of parts, each over one of the places, names everybody but one who only adjoins', () => {
    const parts = [
      given({ range: { from: 0, to: 10 }, by: 'before' }),
      given({ range: { from: 10, to: 20 }, by: 'A' }),
      given({ range: { from: 20, to: 30 }, by: 'after' }),
      given({ range: { from: 100, to: 120 }, by: 'B' }),
    ];
    const one = finding('signal-range', 'fail', places([10, 20], [100, 120]));
    const after = applyWaivers(verdictOf(one), parts, TODAY);
    expect(after.findings[0]?.waiver?.by).toBe('A; B');
  });

  it('leaves the other findings as they are', () => {
    const after = applyWaivers(
      verdictOf(finding('signal-range', 'fail'), finding('raster', 'fail')),
      [given()],
      TODAY,
    );
    expect(after.verdict).toBe('fail');
    expect(after.findings.map((f) => f.waiver !== null)).toEqual([true, false]);
    expect(verdictExitCode([after], { strict: false })).toBe(1);
  });
});

describe('a waiver that does not hold says why', () => {
  const all = finding('signal-range', 'fail', places([10, 20], [100, 120]));
  it.each<[string, Finding, object[], object, string]>([
    ['expired yesterday', all, [{ until: '2026-11-24' }], {}, 'it expired on 2026-11-24'],
    [
      'for another file of the name',
      all,
      [{ sha256: OTHER_SHA }],
      {},
      'another file of this name (SHA-256 bbbbbbbbbbbb..., this one is aaaaaaaaaaaa...)',
    ],
    ['a file that changed meanwhile', all, [{}], { sha256: null }, 'changed while it was checked'],
    [
      'a file that cannot be read',
      finding('decode', 'fail'),
      [{ finding: 'decode' }],
      { measurement: null },
      'cannot be read',
    ],
    [
      'half of the places',
      all,
      [{ range: { from: 0, to: 50 } }],
      {},
      'leaves 1 place of 2 open, the first at 10:00:04:00',
    ],
    [
      'one of three places',
      finding('signal-range', 'fail', places([10, 20], [100, 120], [130, 140])),
      [{ range: { from: 0, to: 50 } }],
      {},
      'the waiver of signal-range, 50 frames from frame 0, by R. Ibarra, supervisor until 2026-11-25 does ' +
        'not apply: it leaves 2 places of 3 open, the first at 10:00:04:00',
    ],
    [
      'two of three places, by two waivers',
      finding('signal-range', 'fail', places([10, 20], [100, 120], [130, 140])),
      [{ range: { from: 0, to: 50 } }, { range: { from: 130, to: 150 } }],
      {},
      'leaves 1 place of 3 open, the first at 10:00:04:00',
    ],
    [
      'the first half of a place',
      finding('signal-range', 'fail', places([10, 20])),
      [{ range: { from: 10, to: 15 } }],
      {},
      'the first at 10:00:00:15',
    ],
    [
      'a part, in a file without timecode',
      all,
      [{ range: { from: 0, to: 50 } }],
      { measurement: measured((m) => Object.assign(m.container, { startTimecode: null })) },
      'open, the first at frame 100',
    ],
    [
      'one frame short',
      all,
      [{ range: { from: 10, to: 119 } }],
      {},
      'leaves 1 place of 2 open, the first at 10:00:04:19',
    ],
    [
      'one frame late',
      all,
      [{ range: { from: 11, to: 120 } }],
      {},
      'leaves 1 place of 2 open, the first at 10:00:00:10',
    ],
    [
      'two parts with a hole between',
      finding('signal-range', 'fail', places([10, 20])),
      [{ range: { from: 0, to: 15 } }, { range: { from: 16, to: 40 } }],
      {},
      'the first at 10:00:00:15',
    ],
    [
      'a part of a finding of the whole file',
      finding('signal-range', 'fail'),
      [{ range: { from: 0 } }],
      {},
      'concerns the whole file, and only a part is waived',
    ],
    [
      'a part around the worst frame, the others unknown',
      finding('signal-range', 'fail', { at: [place(12, 13)] }),
      [{ range: { from: 0, to: 50 } }],
      {},
      'not every place',
    ],
    [
      'of what was measured, and this time could not be',
      finding('signal-range', 'unmeasured'),
      [{}],
      {},
      'it accepts a measured fault',
    ],
    [
      'of what could not be measured, and now fails',
      finding('signal-range', 'fail'),
      [{ unmeasured: true }],
      {},
      'it accepts that this could not be measured',
    ],
    [
      'a part of what could not be measured',
      finding('signal-range', 'unmeasured'),
      [{ unmeasured: true, range: { from: 0, to: 50 } }],
      {},
      'only a part is waived',
    ],
    [
      'a timecode the file does not have',
      all,
      [{ range: { from: '20:00:00:00' } }],
      {},
      'lies outside the 250 frames',
    ],
    ['a label the rate does not have', all, [{ range: { from: '10:00:00:25' } }], {}, 'frames 25: 0 to 24'],
    [
      'one part expired',
      finding('signal-range', 'fail', places([10, 20])),
      [{ range: { from: 0, to: 15 }, until: '2026-11-24' }, { range: { from: 15, to: 40 } }],
      {},
      'it expired on 2026-11-24',
    ],
  ])('%s', (_, one, waivers, context, why) => {
    const after = applyWaivers(verdictOf(one), waivers.map(given), { ...TODAY, ...context });
    expect(after.findings[0]).toEqual(one);
    expect(noticeOf(after)).toMatchObject({ outcome: 'warn', measured: expect.stringContaining(why) });
    expect(after.verdict).toBe(one.outcome === 'unmeasured' ? 'warn' : 'fail');
    expect(verdictExitCode([after], { strict: true })).toBe(1);
    expect(verdictSchema.parse(after)).toEqual(after);
  });

  it.each<[string, Finding, object]>([
    ['of another finding', all, { finding: 'loudness' }],
    ['for another target', all, { target: 'hd-sdr-master' }],
    ['of what passes', finding('signal-range', 'pass'), { until: '2026-11-24' }],
  ])('but not one %s: it is no matter of this verdict', (_, one, more) => {
    const after = applyWaivers(verdictOf(one), [given(more)], TODAY);
    expect(after.findings).toEqual([one]);
  });

  it('several times in one finding, so that every case of a report has a name of its own', () => {
    const after = applyWaivers(
      verdictOf(all, finding('raster', 'fail')),
      [given({ until: '2026-11-24' }), given({ finding: 'raster', until: '2026-11-23' })],
      TODAY,
    );
    const notices = after.findings.filter((f) => f.requirement === WAIVER_FINDING);
    const of = (what: string, until: string) =>
      `the waiver of ${what} by R. Ibarra, supervisor until ${until} does not apply: it expired on ${until}`;
    expect(notices).toEqual([
      {
        ...finding(WAIVER_FINDING, 'warn'),
        expected: 'waivers that apply',
        measured: `${of('signal-range', '2026-11-24')}; ${of('raster', '2026-11-23')}`,
        why: 'A waiver that does not apply leaves the finding as it is.',
        advice: 'Check the finding again; if it is still acceptable, waive it again.',
      },
    ]);
  });
});

describe('property: a part waives a finding only when every frame of it is in a part', () => {
  const range = fc
    .tuple(fc.integer({ min: 0, max: 60 }), fc.integer({ min: 1, max: 20 }))
    .map(([from, length]) => ({ from, to: from + length }));
  it('counted frame by frame', () => {
    fc.assert(
      fc.property(
        fc.array(range, { minLength: 1, maxLength: 4 }),
        fc.array(range, { minLength: 1, maxLength: 4 }),
        (at, parts) => {
          const one = finding('signal-range', 'fail', {
            at: at.map(({ from, to }) => place(from, to)),
            everyPlace: true,
          });
          const after = applyWaivers(
            verdictOf(one),
            parts.map((part) => given({ range: part })),
            TODAY,
          );
          const isIn = (frame: number) => parts.some(({ from, to }) => from <= frame && frame < to);
          const every = at.every(({ from, to }) => {
            for (let frame = from; frame < to; frame += 1) if (!isIn(frame)) return false;
            return true;
          });
          expect(after.findings[0]?.waiver !== null).toBe(every);
          expect(noticeOf(after) === undefined).toBe(every);
        },
      ),
      { numRuns: 300 },
    );
  });
});
