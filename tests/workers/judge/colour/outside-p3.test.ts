import { luminance } from '../changes.js';
import { noLuminance } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows('outside-p3', [
  ['at the limit', { maxArea: 0.01 }, luminance({ outsideP3: { worstFrame: 3, worstArea: 0.01 } }), 'pass'],
  ['over it', { maxArea: 0.01 }, luminance({ outsideP3: { worstFrame: 3, worstArea: 0.0101 } }), 'fail'],
  ['not measured', { maxArea: 0.01 }, luminance({ outsideP3: null }), 'unmeasured'],
  ['no luminance', { maxArea: 0.01 }, noLuminance, 'unmeasured'],
]);
