import { coding, noCoding, none } from '../changes.js';
import { noVideo } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows('bit-rate', [
  ['nothing asked', {}, none, 'unmeasured'],
  ['within', { minMean: 50e6, maxMean: 50e6, maxPeak: 60e6 }, none, 'pass'],
  ['too low', { minMean: 50.1e6 }, none, 'fail'],
  ['too high', { maxMean: 49.9e6 }, none, 'fail'],
  ['a peak too high', { maxPeak: 59.9e6 }, none, 'fail'],
  ['shorter than a second', { maxPeak: 60e6 }, coding({ bitRate: { mean: 5e7, peak: null } }), 'unmeasured'],
  [
    'shorter than a second, no peak asked',
    { maxMean: 60e6 },
    coding({ bitRate: { mean: 5e7, peak: null } }),
    'pass',
  ],
  ['no times', { maxMean: 60e6 }, coding({ bitRate: null }), 'unmeasured'],
  ['packets not listed', { maxMean: 60e6 }, noCoding, 'unmeasured'],
  ['no picture', { maxMean: 60e6 }, noVideo, 'fail'],
]);
