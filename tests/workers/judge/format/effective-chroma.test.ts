import { both } from '../changes.js';
import { note, noVideo } from '../measured.js';
import { describeRows } from '../rows.js';
import { effective } from './measured-effective.js';

const declared444 = { declared: '4:4:4' };

describeRows('effective-chroma', [
  ['as much as is wanted', { least: '4:2:2' }, effective(), 'pass'],
  ['more than is wanted', { least: '4:2:0' }, effective(), 'pass'],
  ['less is declared', { least: '4:4:4' }, effective(), 'fail'],
  ['less is in use', { least: '4:2:2' }, effective({}, { effective: '4:2:0' }), 'fail'],
  ['half of it is in use', { least: '4:4:4' }, effective({}, { ...declared444, effective: '4:2:2' }), 'fail'],
  [
    'perhaps less',
    { least: '4:2:2' },
    effective({}, { effective: '4:2:0', confidence: 'low' }),
    'unmeasured',
  ],
  [
    'perhaps less, no proof asked for',
    { least: '4:2:2', proof: false },
    effective({}, { effective: '4:2:0', confidence: 'low' }),
    'unmeasured',
  ],
  ['not known', { least: '4:2:2' }, effective({}, { effective: null, confidence: 'low' }), 'unmeasured'],
  [
    'not known, no proof asked for',
    { least: '4:2:2', proof: false },
    effective({}, { effective: null, confidence: 'low' }),
    'pass',
  ],
  [
    'not known, and less declared',
    { least: '4:4:4', proof: false },
    effective({}, { effective: null }),
    'fail',
  ],
  ['not looked at, no proof asked for', { least: '4:2:2', proof: false }, () => {}, 'unmeasured'],
  ['doubted', { least: '4:2:2' }, both(effective(), note('video.chroma.effective')), 'unmeasured'],
  ['no picture', { least: '4:2:2' }, noVideo, 'fail'],
]);
