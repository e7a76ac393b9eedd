import { describe, expect, it } from 'vitest';
import type { Region } from '../../../jobs/requirements/region.js';
import { requirementSet } from '../../../jobs/requirements/requirement.js';
import { judge } from '../../../workers/judge/judge.js';
import { joinRanges } from '../../../workers/judge/place.js';
import { formatRegion, readRegions, whyOutside } from '../../../workers/judge/regions.js';
import { levels, luminance, range } from './changes.js';
import { type Change, measured, noVideo, there, video } from './measured.js';

/** The file of measured.ts: 250 frames at 25 frames/s from 10:00:00:00, unless a row changes it. */
const from =
  (startTimecode: string | null): Change =>
  (m) => {
    m.container.startTimecode = startTimecode;
  };
const at = (frameRate: string, frames: number) => video({ frameRate, frames });

function read(regions: readonly Region[], ...changes: readonly Change[]) {
  const { frames, reason } = readRegions(regions, measured(...changes));
  return frames === null ? reason : frames.map((f) => [f.from, f.to]);
}

describe('readRegions', () => {
  // Counted by hand: 25 labels a second; in drop frame (ST 12-1) minute 0 holds 1800 frames and minute 1
  // begins with ;02.
  const DROP = [from('10:00:00;00'), at('30000/1001', 3600)];
  it.each<[string, Region[], readonly Change[], unknown]>([
    ['two seconds', [{ from: '10:00:02:00', to: '10:00:04:00' }], [], [[50, 100]]],
    ['frames', [{ from: 50, to: 100 }], [], [[50, 100]]],
    ['an open end', [{ from: '10:00:09:00' }], [], [[225, 250]]],
    ['an open start', [{ to: '10:00:01:00' }], [], [[0, 25]]],
    ['what reaches beyond both ends', [{ from: '09:59:00:00', to: '11:00:00:00' }], [], [[0, 250]]],
    ['what reaches beyond the end', [{ from: 240, to: 1000 }], [], [[240, 250]]],
    [
      'several, overlapping',
      [
        { from: 100, to: 120 },
        { from: 0, to: 10 },
        { from: 5, to: 20 },
      ],
      [],
      [
        [0, 20],
        [100, 120],
      ],
    ],
    [
      'one of two outside',
      [
        { from: 300, to: 400 },
        { from: 0, to: 10 },
      ],
      [],
      [[0, 10]],
    ],
    [
      'before midnight, in a file that runs past it',
      [{ from: '23:50:00:00', to: '23:59:59:00' }],
      [from('23:59:58:00')],
      [[0, 25]],
    ],
    [
      'half a day ahead: never the whole file',
      [{ from: '23:00:00:00' }],
      [],
      expect.stringContaining('lies outside'),
    ],
    ['half a day behind, and open', [{ from: '00:00:00:00' }], [], [[0, 250]]],
    ['wholly before', [{ to: '09:59:59:24' }], [], expect.stringContaining('lies outside')],
    ['open, and beyond the end', [{ from: 250 }], [], expect.stringContaining('lies outside')],
    ['past midnight', [{ from: '23:59:59:00', to: '00:00:01:00' }], [from('23:59:58:00')], [[25, 75]]],
    ['colons in a drop-frame file', [{ from: '10:00:59:29', to: '10:01:00:03' }], DROP, [[1799, 1801]]],
    ['a label drop frame leaves out', [{ from: '10:01:00:00' }], DROP, [[1800, 3600]]],
    ['drop-frame labels', [{ from: '10:01:00;02', to: '10:01:00;04' }], DROP, [[1800, 1802]]],
    [
      'drop-frame labels in another count',
      [{ from: '10:00:00;00' }],
      [],
      expect.stringContaining('the file is not drop frame'),
    ],
    [
      'a frame number the rate does not have',
      [{ from: '10:00:00:25' }],
      [],
      expect.stringContaining('frames 25: 0 to 24'),
    ],
    [
      'a frame number too high in drop frame',
      [{ from: '10:00:00:30' }],
      DROP,
      expect.stringContaining('frames 30: 0 to 29'),
    ],
    [
      'an hour off',
      [{ from: '11:00:00:00', to: '11:00:10:00' }],
      [],
      expect.stringContaining('lies outside the 250 frames'),
    ],
    [
      'a region turned round',
      [{ from: '10:00:04:00', to: '10:00:02:00' }],
      [],
      expect.stringContaining('ends before it begins'),
    ],
    ['an empty region', [{ from: 50, to: 50 }], [], expect.stringContaining('ends before it begins')],
    [
      'an end that does not exist',
      [{ from: 0, to: '10:00:00:25' }],
      [],
      expect.stringContaining('frames 25: 0 to 24'),
    ],
    [
      'two regions outside',
      [{ from: 300 }, { from: 400, to: 410 }],
      [],
      'from frame 300 on, 10 frames from frame 400 lies outside the 250 frames of the file',
    ],
    ['from noon to midnight', [{ to: '00:00:00:00' }], [from('12:00:00:00')], [[0, 250]]],
    ['from noon, in a file of the afternoon', [{ from: '12:00:00:00' }], [from('13:00:00:00')], [[0, 250]]],
    ['no timecode', [{ from: '10:00:00:00' }], [from(null)], expect.stringContaining('no timecode')],
    ['frames without timecode', [{ from: 10, to: 20 }], [from(null)], [[10, 20]]],
    [
      'a timecode that is none',
      [{ from: '10:00:00:00' }],
      [from('99:00:00:00')],
      expect.stringContaining('not valid'),
    ],
    [
      'no rate',
      [{ from: '10:00:00:00' }],
      [video({ frameRate: null })],
      expect.stringContaining('no frame rate'),
    ],
    ['no picture', [{ from: 0 }], [noVideo], expect.stringContaining('no picture')],
  ])('%s', (_, regions, changes, expected) => {
    expect(read(regions, ...changes)).toEqual(expected);
  });

  it('labels the frames, and formats a region', () => {
    const { frames } = readRegions([{ from: 50, to: 100 }], measured());
    expect(frames).toEqual([{ from: 50, to: 100, fromTimecode: '10:00:02:00', toTimecode: '10:00:04:00' }]);
  });

  it.each<[Region, string]>([
    [{ from: 0, to: 250 }, '250 frames from frame 0'],
    [{ from: '10:00:00:00' }, 'from 10:00:00:00 on'],
    [{ to: '10:00:00:00' }, 'up to 10:00:00:00'],
    [{ from: 3 }, 'from frame 3 on'],
    [{ to: 5 }, 'up to frame 5'],
    [{ from: '10:00:00:00', to: '10:00:01:00' }, '10:00:00:00 to 10:00:01:00'],
    [{ from: '10:00:00:00', to: 50 }, '10:00:00:00 to frame 50'],
    [{ from: 50, to: '10:00:04:00' }, 'frame 50 to 10:00:04:00'],
    [{ from: 9, to: 3 }, 'frame 9 to frame 3'],
    [{ from: 9, to: 9 }, 'frame 9 to frame 9'],
    [{}, 'everywhere'],
  ])('formats %j', (region, text) => {
    expect(formatRegion(region)).toBe(text);
  });
});

describe('whyOutside', () => {
  const clock = { frameRate: '25/1', startTimecode: '10:00:00:00' };
  it.each<[string, Region, number | null, string | null]>([
    ['inside', { from: 10, to: 20 }, 250, null],
    ['the last frame', { from: 249 }, 250, null],
    ['one beyond the last', { from: 250 }, 250, 'from frame 250 on lies outside the 250 frames of the file'],
    [
      'up to the first',
      { to: '10:00:00:00' },
      250,
      'up to 10:00:00:00 lies outside the 250 frames of the file',
    ],
    ['the first', { to: '10:00:00:01' }, 250, null],
    ['a programme of unknown length', { from: 100_000 }, null, null],
    ['turned round', { from: 20, to: 10 }, null, 'frame 20 to frame 10 ends before it begins'],
  ])('%s', (_, region, frames, expected) => {
    expect(whyOutside(region, frames, clock)).toBe(expected);
  });
});

function findingOf(require: object, ...changes: readonly Change[]) {
  const set = requirementSet.parse(require);
  const name = Object.keys(require)[0];
  return judge(measured(...changes), { name: 't', require: set }, {}).findings.find(
    (finding) => finding.requirement === name,
  );
}
const places = (finding: ReturnType<typeof findingOf>) => finding?.at.map((r) => [r.from, r.to]);

/** R 103: frames 10 to 19 and 100 to 119 over 1 %, the worst of them 105. */
const over = levels({
  gamutError: {
    worstFrame: 105,
    worstArea: 0.05,
    framesOver: 30,
    ranges: [range(10, 20), range(100, 120)],
  },
});
/** 25 points of 10 frames each; point 10 (frames 100 to 109) is at `peak`, `gap` was not measured. */
const curve =
  (peak: number, rest: number, gap: number | null = null): Change =>
  (m) => {
    const points = Array.from({ length: 25 }, (_, i) => (i === gap ? null : i === 10 ? peak : rest));
    const nothing = points.map(() => null);
    m.curves.picture = {
      framesPerPoint: 10,
      levelMin: nothing,
      levelMax: nothing,
      gamutArea: points,
      light: { max: points, p9999: nothing, average: nothing },
    };
  };
const peak = luminance({ maxCll: 2000, maxCllFrame: 105 });
const reserved = levels({ reservedCodes: { samples: 7, firstFrame: 100 } });
const p3 = luminance({ outsideP3: { worstFrame: 105, worstArea: 0.2 } });

describe('a requirement in regions', () => {
  it.each<[string, string, object, readonly Change[], Region, string, unknown]>([
    [
      'ranges cut to the region',
      'signal-range',
      {},
      [over],
      { from: 15, to: 110 },
      'fail',
      [
        [15, 20],
        [100, 110],
      ],
    ],
    ['ranges beside the region', 'signal-range', {}, [over], { from: 20, to: 100 }, 'pass', []],
    ['the whole passes', 'signal-range', {}, [], { from: 20, to: 100 }, 'pass', []],
    ['the whole passes, wherever the region is', 'signal-range', {}, [], { from: '20:00:00:00' }, 'pass', []],
    [
      'a region that is not in the file',
      'signal-range',
      {},
      [over],
      { from: '20:00:00:00' },
      'unmeasured',
      [],
    ],
    [
      'another limit, no curve, worst frame outside',
      'signal-range',
      { maxArea: 0.02 },
      [over],
      { from: 0, to: 50 },
      'unmeasured',
      [],
    ],
    [
      'another limit, no curve, worst frame inside',
      'signal-range',
      { maxArea: 0.02 },
      [over],
      { from: 50 },
      'fail',
      [[105, 106]],
    ],
    [
      'another limit, by the curve, beside',
      'signal-range',
      { maxArea: 0.02 },
      [over, curve(0.05, 0.001)],
      { from: 0, to: 100 },
      'pass',
      [],
    ],
    [
      'another limit, by the curve, inside',
      'signal-range',
      { maxArea: 0.02 },
      [over, curve(0.05, 0.001)],
      { from: 95, to: 150 },
      'fail',
      [[100, 110]],
    ],
    [
      'a point cut by the region, worst frame outside',
      'signal-range',
      { maxArea: 0.02 },
      [over, curve(0.05, 0.001)],
      { from: 107 },
      'unmeasured',
      [],
    ],
    [
      'a point cut by the region, worst frame inside',
      'signal-range',
      { maxArea: 0.02 },
      [over, curve(0.05, 0.001)],
      { from: 103, to: 107 },
      'fail',
      [[105, 106]],
    ],
    [
      'a point of the region not measured',
      'signal-range',
      { maxArea: 0.02 },
      [over, curve(0.05, 0.001, 2)],
      { from: 0, to: 50 },
      'unmeasured',
      [],
    ],
    [
      'a point beside the region not measured',
      'signal-range',
      { maxArea: 0.02 },
      [over, curve(0.05, 0.001, 2)],
      { from: 50, to: 100 },
      'pass',
      [],
    ],
    [
      'peak beside',
      'peak-luminance',
      { max: 1000 },
      [peak, curve(2000, 500)],
      { from: 0, to: 100 },
      'pass',
      [],
    ],
    [
      'peak inside',
      'peak-luminance',
      { max: 1000 },
      [peak, curve(2000, 500)],
      { from: 0, to: 200 },
      'fail',
      [[100, 110]],
    ],
    ['peak without a curve', 'peak-luminance', { max: 1000 }, [peak], { from: 0, to: 100 }, 'unmeasured', []],
    ['reserved codes after the region', 'reserved-codes', {}, [reserved], { from: 0, to: 100 }, 'pass', []],
    [
      'reserved codes in the region',
      'reserved-codes',
      {},
      [reserved],
      { from: 100, to: 101 },
      'fail',
      [[100, 101]],
    ],
    [
      'reserved codes perhaps in the region',
      'reserved-codes',
      {},
      [reserved],
      { from: 101 },
      'unmeasured',
      [],
    ],
    ['P3 worst inside', 'outside-p3', { maxArea: 0.1 }, [p3], { from: 100, to: 110 }, 'fail', [[105, 106]]],
    ['P3 worst elsewhere', 'outside-p3', { maxArea: 0.1 }, [p3], { from: 110 }, 'unmeasured', []],
    ['no picture at all', 'signal-range', {}, [noVideo], { from: 0 }, 'fail', []],
  ])('%s', (_, name, limits, changes, region, outcome, expected) => {
    const finding = findingOf({ [name]: { ...limits, regions: [region] } }, ...changes);
    expect(finding).toMatchObject({ outcome, expected: expect.stringContaining(formatRegion(region)) });
    expect(places(finding)).toEqual(expected);
  });

  it('that are not in the file names them, and says what to do; what could not be measured stays so', () => {
    const require = { 'signal-range': { regions: [{ from: 300, to: 310 }, { from: 400 }] } };
    const outside = findingOf(require, over);
    expect(outside).toMatchObject({
      measured: expect.stringMatching(
        /^not measured: 10 frames from frame 300, from frame 400 on lies outside/,
      ),
      expected: expect.stringMatching(/, 10 frames from frame 300 and from frame 400 on$/),
      advice: 'Correct the region in the target, or the timecode of the file.',
    });
    const missing = findingOf(require, (m) => Object.assign(m, { levels: null }));
    expect(missing?.outcome).toBe('unmeasured');
    expect(missing?.measured).not.toContain('lies outside');
    expect(findingOf({ 'signal-range': {} }, over)?.expected).not.toMatch(/,\s*$/);
  });

  it('says of places of the whole whether they are all', () => {
    expect(findingOf({ 'signal-range': {} }, over)).toMatchObject({ everyPlace: true });
    const other = { 'signal-range': { maxArea: 0.02 } };
    expect(findingOf(other, over)).toMatchObject({ everyPlace: false });
    const byCurve = findingOf(other, over, curve(0.05, 0.001));
    expect(byCurve).toMatchObject({
      everyPlace: true,
      measured: expect.stringContaining('to within 10 frames'),
    });
    expect(places(byCurve)).toEqual([[100, 110]]);
    expect(findingOf(other, over, curve(0.05, 0.001, 2))).toMatchObject({ everyPlace: false });
    expect(findingOf({ 'reserved-codes': {} }, reserved)).toMatchObject({ everyPlace: false });
  });

  it('lets pass what lies in the tolerance', () => {
    // 10-bit code 723 shows as 1004 cd/m2 (published-values.md); a tenth more is 1104.
    const lit = (maxCll: number) => luminance({ maxCll });
    const peakOf = (maxCll: number) =>
      findingOf({ 'peak-luminance': { max: 1000, tolerance: 0.1 } }, lit(maxCll));
    expect(peakOf(1099)).toMatchObject({ outcome: 'pass' });
    expect(peakOf(1106)).toMatchObject({ outcome: 'fail' });
    const loud =
      (dbtp: number): Change =>
      (m) => {
        for (const stream of m.audio) stream.truePeakDbtp = dbtp;
      };
    const limits = { 'true-peak': { max: -1, tolerance: 0.3 } };
    expect(findingOf(limits, loud(-0.7))).toMatchObject({ outcome: 'pass' });
    expect(findingOf(limits, loud(-0.69))).toMatchObject({ outcome: 'fail' });
  });

  it('joins places that lie near each other only when told', () => {
    const near: Change = (m) => {
      over(m);
      there(m.levels, 'levels').gamutError.ranges = [range(10, 20), range(22, 30)];
    };
    expect(places(findingOf({ 'signal-range': {} }, near))).toEqual([
      [10, 20],
      [22, 30],
    ]);
    expect(places(findingOf({ 'signal-range': { joinGaps: 1 } }, near))).toEqual([
      [10, 20],
      [22, 30],
    ]);
    expect(places(findingOf({ 'signal-range': { joinGaps: 2 } }, near))).toEqual([[10, 30]]);
    expect(joinRanges([range(0, 1), range(3, 4)], 2).map((r) => [r.from, r.to])).toEqual([[0, 4]]);
  });
});
