import type { MeasuredTemporal } from '../../../jobs/measurement/measured-temporal.js';
import type { RequirementName } from '../../../jobs/requirements/requirement.js';
import type { Finding } from '../../../jobs/verdict/verdict.js';
import { type Change, note, noVideo, video } from './measured.js';

type Row = readonly [what: string, limits: object, change: Change, outcome: Finding['outcome']];
const none: Change = () => {};

const range = (from: number, to: number) => ({ from, to, fromTimecode: null, toTimecode: null });
type Span = readonly [from: number, to: number];
/** Places with what is told of each. `unlisted`: so many more than are listed. */
function places<T extends object>(of: T, spans: readonly Span[], unlisted = 0) {
  return {
    places: spans.length + unlisted,
    frames: spans.reduce((sum, [from, to]) => sum + to - from, 0) + unlisted,
    ranges: spans.map(([from, to]) => ({ ...range(from, to), ...of })),
  };
}
const FULL = { left: 0, top: 0, width: 1920, height: 1080 };

/** Nothing to see in 250 frames of 1920 x 1080, with changes made to it. */
export function temporal(change: Partial<MeasuredTemporal> = {}): Change {
  return (m) => {
    m.temporal = {
      black: { level: 0.105, area: 0.9, ...places({}, []) },
      constantColour: { level: 0.105, area: 0.9, ...places({ spread: 0, widestSpread: 0, colour: [] }, []) },
      freeze: { db: -60, leastFrames: 13, ...places({ identical: true }, []) },
      duplicate: { ...places({}, []), regular: { frames: 0, ranges: [] } },
      missingMotion: places({}, []),
      shortShot: { below: 12, ...places({}, []), cuts: 4, unclear: { places: 0, ranges: [] } },
      activePicture: { leastBar: 8, area: FULL, framesTold: 250, others: places({ area: FULL }, []) },
      blankEdge: places({ side: 'top', lines: 1 }, []),
      ...structuredClone(change),
    };
  };
}

const black = (spans: readonly Span[], unlisted = 0): Change =>
  temporal({ black: { level: 0.105, area: 0.9, ...places({}, spans, unlisted) } });
const freeze = (spans: readonly Span[], unlisted = 0): Change =>
  temporal({ freeze: { db: -60, leastFrames: 13, ...places({ identical: true }, spans, unlisted) } });
const repeats = (single: readonly Span[], lost: readonly Span[] = [], steady: readonly Span[] = []): Change =>
  temporal({
    duplicate: {
      ...places({}, single),
      regular: {
        frames: steady.length * 5,
        ranges: steady.map(([from, to]) => ({ ...range(from, to), every: 5 })),
      },
    },
    missingMotion: places({}, lost),
  });
const shots = (spans: readonly Span[], unclear: readonly Span[] = []): Change =>
  temporal({
    shortShot: {
      below: 12,
      ...places({}, spans),
      cuts: 4,
      unclear: { places: unclear.length, ranges: unclear.map(([from, to]) => range(from, to)) },
    },
  });
const colour = (spread: number, spans: readonly Span[]): Change =>
  temporal({
    constantColour: {
      level: 0.105,
      area: 0.9,
      ...places({ spread, widestSpread: spread, colour: [0.4, 0, 0] }, spans),
    },
  });
/** Letterbox bars of so many lines, and other bars in a stretch. */
const boxed = (lines: number, other?: { lines: number; span: Span }, unlisted = 0): Change => {
  const area = (bar: number) => ({ left: 0, top: bar, width: 1920, height: 1080 - 2 * bar });
  const others = places({ area: area(other?.lines ?? 0) }, other ? [other.span] : [], unlisted);
  return temporal({ activePicture: { leastBar: 8, area: area(lines), framesTold: 200, others } });
};
const tooDark: Change = temporal({
  activePicture: { leastBar: 8, area: null, framesTold: 0, others: places({ area: FULL }, []) },
});
const blank = (lines: number, spans: readonly Span[]): Change =>
  temporal({ blankEdge: places({ side: 'left', lines }, spans) });
const both =
  (...changes: readonly Change[]): Change =>
  (m) => {
    for (const change of changes) change(m);
  };
const uneven = video((v) => Object.assign(v, { constantRate: false }));
const noRate = video((v) => Object.assign(v, { frameRate: null }));
/** Asked of any of these: nothing was measured, the measurement is not to be relied on, there is no picture. */
const without = (limits: object): Row[] => [
  ['not measured', limits, none, 'unmeasured'],
  ['not to be relied on', limits, both(temporal(), note('temporal')), 'unmeasured'],
  ['no picture', limits, noVideo, 'fail'],
];
/** 100 to 150 of the 250 frames. */
const MIDDLE = { regions: [{ from: 100, to: 150 }] };

export const TEMPORAL_ROWS = {
  'black-frames': [
    ['none', {}, temporal(), 'pass'],
    ['one frame in the middle', {}, black([[100, 101]]), 'fail'],
    ['as long as allowed', { maxFrames: 50 }, black([[100, 150]]), 'pass'],
    ['a frame longer', { maxFrames: 50 }, black([[100, 151]]), 'fail'],
    [
      'at head and tail',
      {},
      black([
        [0, 50],
        [200, 250],
      ]),
      'pass',
    ],
    ['at the head, which is not allowed', { allowAtEnds: false }, black([[0, 1]]), 'fail'],
    ['all of the programme', {}, black([[0, 250]]), 'fail'],
    ['only the longest known, all at the ends', {}, black([[0, 50]], 3), 'unmeasured'],
    ['only the longest known, one of them inside', {}, black([[60, 70]], 3), 'fail'],
    [
      'outside the region',
      MIDDLE,
      black([
        [99, 100],
        [150, 160],
      ]),
      'pass',
    ],
    ['as much of it as lies in the region', { ...MIDDLE, maxFrames: 5 }, black([[80, 105]]), 'pass'],
    ['inside the region', MIDDLE, black([[149, 160]]), 'fail'],
    ...without({}),
  ],
  'freeze-frames': [
    ['none', {}, temporal(), 'pass'],
    // 2 s at 25 frames/s are 50 frames.
    ['49 frames', {}, freeze([[20, 69]]), 'pass'],
    ['50 frames', {}, freeze([[20, 70]]), 'fail'],
    ['the shortest that is told: 13 frames', { seconds: 0.52 }, freeze([[20, 33]]), 'fail'],
    ['a time too short to be told', { seconds: 0.48 }, temporal(), 'unmeasured'],
    ['no rate to count by', {}, both(temporal(), noRate), 'unmeasured'],
    ['none, frames of uneven length', {}, both(temporal(), uneven), 'unmeasured'],
    ['too many to know each', {}, freeze([[20, 40]], 1), 'unmeasured'],
    ['as much of it as lies in the region', MIDDLE, freeze([[60, 140]]), 'pass'],
    ['all of the region', MIDDLE, freeze([[60, 160]]), 'fail'],
    ...without({}),
  ],
  'duplicate-frames': [
    ['none', {}, temporal(), 'pass'],
    ['one repeated', {}, repeats([[30, 31]]), 'fail'],
    ['one lost', {}, repeats([], [[30, 31]]), 'fail'],
    ['as many as allowed', { maxFrames: 3 }, repeats([[30, 32]], [[60, 61]]), 'pass'],
    ['one more', { maxFrames: 3 }, repeats([[30, 32]], [[60, 62]]), 'fail'],
    ['in step', { maxFrames: 9 }, repeats([], [], [[0, 100]]), 'fail'],
    ['in step, which is allowed', { regular: true }, repeats([], [], [[0, 100]]), 'pass'],
    ['outside the region', MIDDLE, repeats([[30, 31]], [[150, 151]], [[0, 100]]), 'pass'],
    ['inside the region', MIDDLE, repeats([[100, 101]]), 'fail'],
    ...without({}),
  ],
  'short-shots': [
    ['none', {}, temporal(), 'pass'],
    ['of 2 frames', {}, shots([[30, 32]]), 'fail'],
    ['of 2 frames of uneven length', {}, both(shots([[30, 32]]), uneven), 'unmeasured'],
    ['none, frames of uneven length', {}, both(temporal(), uneven), 'pass'],
    ['of 3 frames', {}, shots([[30, 33]]), 'pass'],
    ['of 11 where 12 are asked for', { minFrames: 12 }, shots([[30, 41]]), 'fail'],
    ['more is asked for than is told', { minFrames: 13 }, temporal(), 'unmeasured'],
    ['movement too fast to tell', {}, shots([], [[30, 36]]), 'warn'],
    ['of 2 frames, beside such movement', {}, shots([[60, 62]], [[30, 36]]), 'fail'],
    ['outside the region', MIDDLE, shots([[30, 32]], [[200, 206]]), 'pass'],
    ['short, and only partly in the region', MIDDLE, shots([[99, 101]]), 'fail'],
    ['long enough, and only partly in the region', MIDDLE, shots([[97, 101]]), 'pass'],
    ...without({}),
  ],
  'constant-colour': [
    ['none', {}, temporal(), 'pass'],
    ['one frame', {}, colour(0, [[30, 31]]), 'fail'],
    ['as many as allowed', { maxFrames: 2 }, colour(0, [[30, 32]]), 'pass'],
    ['one more', { maxFrames: 2 }, colour(0, [[30, 33]]), 'fail'],
    ['as flat as asked for', {}, colour(0.03, [[30, 31]]), 'fail'],
    ['less flat', {}, colour(0.031, [[30, 31]]), 'pass'],
    ['wider than is told', { tolerance: 0.11 }, temporal(), 'unmeasured'],
    ['outside the region', MIDDLE, colour(0, [[30, 31]]), 'pass'],
    ...without({}),
  ],
  'active-picture': [
    ['to the edges', {}, temporal(), 'pass'],
    ['bars where there should be none', {}, boxed(138), 'fail'],
    // 1920 / 2.39 is 803.3 lines: bars of 138.3.
    ['2.39', { aspect: 2.39 }, boxed(138), 'pass'],
    ['2.39, 2 lines off', { aspect: 2.39 }, boxed(136), 'pass'],
    ['2.39, 3 lines off', { aspect: 2.39 }, boxed(135), 'fail'],
    ['2.35 where 2.39 is asked for', { aspect: 2.39 }, boxed(131), 'fail'],
    // 1080 * 4 / 3 is 1440 pixels: bars of 240.
    [
      '4:3',
      { aspect: 4 / 3, tolerance: 0 },
      (m) => {
        temporal()(m);
        if (m.temporal) m.temporal.activePicture.area = { left: 240, top: 0, width: 1440, height: 1080 };
      },
      'pass',
    ],
    [
      'the raster with 4:3 pixels shows 2.37',
      { aspect: 64 / 27 },
      both(
        temporal(),
        video((v) => Object.assign(v, { sampleAspect: '4/3' })),
      ),
      'pass',
    ],
    [
      'shape of the pixels unknown',
      { aspect: 2.39 },
      both(
        boxed(138),
        video((v) => Object.assign(v, { sampleAspect: null })),
      ),
      'unmeasured',
    ],
    ['an area', { area: { left: 0, top: 140, width: 1920, height: 800 } }, boxed(140), 'pass'],
    ['another area', { area: { left: 0, top: 140, width: 1920, height: 800 } }, boxed(143), 'fail'],
    ['other bars in one shot', { aspect: 2.39 }, boxed(138, { lines: 0, span: [20, 30] }), 'fail'],
    ['other bars within the tolerance', { aspect: 2.39 }, boxed(138, { lines: 137, span: [20, 30] }), 'pass'],
    [
      'other bars, which is allowed',
      { aspect: 2.39, constant: false },
      boxed(138, { lines: 0, span: [20, 30] }),
      'pass',
    ],
    [
      'others that are not all known',
      { aspect: 2.39 },
      boxed(138, { lines: 137, span: [20, 30] }, 2),
      'unmeasured',
    ],
    ['too dark to tell', {}, tooDark, 'unmeasured'],
    ...without({}),
  ],
  'blank-edges': [
    ['none', {}, temporal(), 'pass'],
    ['one column', {}, blank(1, [[0, 250]]), 'fail'],
    ['as many as allowed', { maxLines: 2 }, blank(2, [[0, 250]]), 'pass'],
    ['one more', { maxLines: 2 }, blank(3, [[0, 250]]), 'fail'],
    ['outside the region', MIDDLE, blank(1, [[0, 100]]), 'pass'],
    ['inside the region', MIDDLE, blank(1, [[0, 101]]), 'fail'],
    ['too dark to tell', {}, tooDark, 'unmeasured'],
    ...without({}),
  ],
} as const satisfies Partial<Record<RequirementName, readonly Row[]>>;
