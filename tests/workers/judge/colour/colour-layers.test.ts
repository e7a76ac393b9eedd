import { none } from '../changes.js';
import { noVideo, there, video } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows('colour-layers', [
  ['agree where both speak', {}, none, 'pass'],
  [
    'differ in one tag',
    {},
    video((v) =>
      Object.assign(there(v.colourByLayer.bitstream, 'colour of the bitstream'), { transfer: 'bt709' }),
    ),
    'fail',
  ],
  ['one layer silent', {}, video((v) => Object.assign(v.colourByLayer, { bitstream: null })), 'unmeasured'],
  [
    'one layer silent, no proof asked for',
    { proof: false },
    video((v) => Object.assign(v.colourByLayer, { bitstream: null })),
    'pass',
  ],
  [
    'differ in one tag, no proof asked for',
    { proof: false },
    video((v) =>
      Object.assign(there(v.colourByLayer.bitstream, 'colour of the bitstream'), { matrix: 'bt709' }),
    ),
    'fail',
  ],
  [
    'no tag in both, no proof asked for',
    { proof: false },
    video((v) =>
      Object.assign(there(v.colourByLayer.container, 'colour of the container'), {
        primaries: null,
        transfer: null,
        matrix: null,
      }),
    ),
    'pass',
  ],
  [
    'no tag in both',
    {},
    video((v) =>
      Object.assign(there(v.colourByLayer.container, 'colour of the container'), {
        primaries: 'unknown',
        transfer: null,
        matrix: 'unspecified',
      }),
    ),
    'unmeasured',
  ],
  ['no picture', {}, noVideo, 'fail'],
]);
