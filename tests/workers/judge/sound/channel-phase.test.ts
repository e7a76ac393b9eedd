import { none } from '../changes.js';
import { sound } from '../measured.js';
import { CONTENT, outOfPhase } from '../measured-sound.js';
import { describeRows } from '../rows.js';
import { content, monos, unlabelled } from './contents.js';

describeRows('channel-phase', [
  ['in phase', {}, none, 'pass'],
  ['as long as allowed', {}, content(outOfPhase(-0.5, [1, 3])), 'pass'],
  ['longer', {}, content(outOfPhase(-0.5, [1, 3.1])), 'fail'],
  ['another level does not count', {}, content(outOfPhase(0, [1, 9])), 'pass'],
  ['mono', {}, sound({ channels: 1, layout: 'mono', content: { ...CONTENT, pairs: [] } }), 'pass'],
  ['several mono streams', {}, monos, 'unmeasured'],
  ['layout not stated', {}, unlabelled, 'unmeasured'],
  ['several mono streams, no proof asked', { proof: false }, monos, 'pass'],
  ['layout not stated, no proof asked', { proof: false }, unlabelled, 'pass'],
  ['longer, no proof asked', { proof: false }, content(outOfPhase(-0.5, [1, 3.1])), 'fail'],
  ['samples not known, no proof asked', { proof: false }, content(null), 'unmeasured'],
  ['samples not known', {}, content(null), 'unmeasured'],
  ['outside the region', { regions: [{ from: 100, to: 200 }] }, content(outOfPhase(-0.5, [0, 4])), 'pass'],
]);
