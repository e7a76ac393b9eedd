import { layer, none } from '../changes.js';
import { noVideo } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows('scan-layers', [
  ['agree', {}, none, 'pass'],
  [
    'differ in field order',
    {},
    (m) => {
      layer('container', { scan: 'interlaced-tff' })(m);
      layer('bitstream', { scan: 'interlaced-bff' })(m);
    },
    'fail',
  ],
  ['progressive in fields', {}, layer('bitstream', { scan: 'interlaced-tff' }), 'fail'],
  [
    'progressive in fields, allowed',
    { segmented: true },
    layer('bitstream', { scan: 'interlaced-tff' }),
    'warn',
  ],
  [
    'fields in progressive frames are never allowed',
    { segmented: true },
    layer('container', { scan: 'interlaced-tff' }),
    'fail',
  ],
  ['one silent', {}, layer('container', { scan: null }), 'unmeasured'],
  ['one silent, no proof asked for', { proof: false }, layer('container', { scan: null }), 'pass'],
  ['no picture', {}, noVideo, 'fail'],
]);
