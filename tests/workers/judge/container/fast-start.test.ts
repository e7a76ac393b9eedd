import { none, noWrapper, wrapper } from '../changes.js';
import { describeRows } from '../rows.js';

describeRows('fast-start', [
  ['index in front', {}, none, 'pass'],
  ['index behind', {}, wrapper({ indexFirst: false }), 'fail'],
  ['a container without', {}, wrapper({ indexFirst: null }), 'unmeasured'],
  ['boxes not read', {}, noWrapper, 'unmeasured'],
]);
