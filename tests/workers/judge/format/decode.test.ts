import { none } from '../changes.js';
import { noSound, note, noVideo, SOUND, sound, video } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows(
  'decode',
  [
    ['no error', {}, none, 'pass'],
    ['one error', {}, (m) => Object.assign(m.decode, { errors: 1, messages: ['bad slice'] }), 'fail'],
    ['errors the target allows', { maxErrors: 2 }, (m) => Object.assign(m.decode, { errors: 2 }), 'warn'],
    ['one more than allowed', { maxErrors: 2 }, (m) => Object.assign(m.decode, { errors: 3 }), 'fail'],
    [
      'truncated, whatever is allowed',
      { maxErrors: 9, severity: 'warn' },
      (m) => Object.assign(m.decode, { truncated: true }),
      'fail',
    ],
    [
      'errors, whatever the severity',
      { severity: 'warn' },
      (m) => Object.assign(m.decode, { errors: 1 }),
      'fail',
    ],
    ['nothing came out', {}, (m) => Object.assign(m, { video: null, audio: [] }), 'fail'],
    ['sound alone, whole', {}, noVideo, 'pass'],
    [
      'sound alone, not one sample',
      {},
      (m) => Object.assign(m, { video: null, audio: [{ ...SOUND, samples: 0 }] }),
      'fail',
    ],
    ['picture alone, whole', {}, noSound, 'pass'],
    ['sound, but not one frame', {}, video({ frames: 0 }), 'fail'],
    ['picture, but one stream without a sample', {}, sound({}, { samples: 0 }), 'warn'],
    [
      'picture, but sound not measured',
      {},
      (m) => {
        sound({ samples: 0 })(m);
        note('audio[0]')(m);
      },
      'pass',
    ],
  ],
  { alwaysFails: true },
);
