import { coding, noCoding, none } from '../changes.js';
import { noVideo } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows('gop', [
  ['nothing asked', {}, none, 'pass'],
  ['as long as allowed', { maxLength: 12 }, none, 'pass'],
  ['one too long', { maxLength: 11 }, none, 'fail'],
  ['constant', { constant: true }, none, 'pass'],
  ['not constant', { constant: true }, coding({ gop: { shortest: 11, longest: 12, closed: true } }), 'fail'],
  [
    'one group alone',
    { constant: true },
    coding({ gop: { shortest: null, longest: 12, closed: true } }),
    'unmeasured',
  ],
  ['closed', { closed: true }, none, 'pass'],
  ['open', { closed: true }, coding({ gop: { shortest: 12, longest: 12, closed: false } }), 'fail'],
  [
    'closed or open not known',
    { closed: true },
    coding({ gop: { shortest: 12, longest: 12, closed: null } }),
    'unmeasured',
  ],
  ['predicted pictures', { intraOnly: true }, none, 'fail'],
  ['intra only', { intraOnly: true }, coding({ intraOnly: true }), 'pass'],
  ['kinds not known', { intraOnly: true }, coding({ intraOnly: null }), 'unmeasured'],
  [
    'more key frames marked than there are',
    {},
    coding({ keyFrames: { container: 22, bitstream: 21 } }),
    'fail',
  ],
  ['fewer marked', {}, coding({ keyFrames: { container: 1, bitstream: 21 } }), 'pass'],
  [
    'marks the decoder does not confirm',
    { maxLength: 12 },
    coding({ keyFrames: { container: 21, bitstream: null } }),
    'unmeasured',
  ],
  ['frames that are hidden', { maxLength: 12 }, coding({ packets: 260 }), 'unmeasured'],
  ['frames that are hidden, nothing asked', {}, coding({ packets: 260 }), 'unmeasured'],
  [
    'too long by the marks alone',
    { maxLength: 11 },
    coding({ keyFrames: { container: 21, bitstream: null } }),
    'fail',
  ],
  ['packets not listed', {}, noCoding, 'unmeasured'],
  ['no picture', {}, noVideo, 'fail'],
]);
