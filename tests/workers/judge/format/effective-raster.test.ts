import { both } from '../changes.js';
import { note, noVideo } from '../measured.js';
import { describeRows } from '../rows.js';
import { effective } from './measured-effective.js';

describeRows('effective-raster', [
  ['all of it', {}, effective(), 'pass'],
  ['two thirds each way', {}, effective({ width: 1280, height: 720 }), 'fail'],
  ['three quarters across', {}, effective({ width: 1440 }), 'fail'],
  ['as little as is let pass', { least: 0.75 }, effective({ width: 1440, height: 1080 }), 'pass'],
  ['perhaps two thirds', {}, effective({ width: 1280, confidence: 'low' }), 'unmeasured'],
  [
    'perhaps two thirds, no proof asked for',
    { proof: false },
    effective({ width: 1280, confidence: 'low' }),
    'unmeasured',
  ],
  ['lines not known', {}, effective({ height: null }), 'unmeasured'],
  ['lines not known, half across', {}, effective({ width: 960, height: null }), 'fail'],
  ['nothing known', {}, effective({ width: null, height: null, confidence: 'low' }), 'unmeasured'],
  [
    'nothing known, no proof asked for',
    { proof: false },
    effective({ width: null, height: null, confidence: 'low' }),
    'pass',
  ],
  ['not looked at, no proof asked for', { proof: false }, () => {}, 'unmeasured'],
  ['doubted', {}, both(effective(), note('effective')), 'unmeasured'],
  ['no picture', {}, noVideo, 'fail'],
]);
