import { none, noWrapper, wrapper } from '../changes.js';
import { describeRows } from '../rows.js';

describeRows('container-structure', [
  ['in one piece', {}, none, 'pass'],
  ['one fragment', {}, wrapper({ fragments: 1 }), 'fail'],
  ['fragments allowed', { fragments: true }, wrapper({ fragments: 9 }), 'pass'],
  ['one byte behind', {}, wrapper({ trailingBytes: 1 }), 'fail'],
  ['as many bytes as allowed', { maxTrailingBytes: 8 }, wrapper({ trailingBytes: 8 }), 'pass'],
  ['not read', {}, wrapper({ fragments: null, trailingBytes: null }), 'unmeasured'],
  ['boxes not read', {}, noWrapper, 'unmeasured'],
]);
