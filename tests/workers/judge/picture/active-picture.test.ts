import { both } from '../changes.js';
import { type Change, there, video } from '../measured.js';
import { describeRows } from '../rows.js';
import { places, type Span, temporal, tooDark, without } from './measured-temporal.js';

/** Letterbox bars of so many lines, and other bars in a stretch. */
const boxed = (lines: number, other?: { lines: number; span: Span }, unlisted = 0): Change => {
  const area = (bar: number) => ({ left: 0, top: bar, width: 1920, height: 1080 - 2 * bar });
  const others = places({ area: area(other?.lines ?? 0) }, other ? [other.span] : [], unlisted);
  return temporal({ activePicture: { leastBar: 8, area: area(lines), framesTold: 200, others } });
};

describeRows('active-picture', [
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
      there(m.temporal, 'temporal').activePicture.area = { left: 240, top: 0, width: 1440, height: 1080 };
    },
    'pass',
  ],
  [
    'the raster with 4:3 pixels shows 2.37',
    { aspect: 64 / 27 },
    both(temporal(), video({ sampleAspect: '4/3' })),
    'pass',
  ],
  [
    'shape of the pixels unknown',
    { aspect: 2.39 },
    both(boxed(138), video({ sampleAspect: null })),
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
]);
