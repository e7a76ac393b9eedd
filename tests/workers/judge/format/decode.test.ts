import { describe, expect, it } from 'vitest';
import { requirementSet } from '../../../../jobs/requirements/requirement.js';
import { judge } from '../../../../workers/judge/judge.js';
import { none } from '../changes.js';
import { measured, noSound, note, noVideo, SOUND, sound, video } from '../measured.js';
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
    ['an end that is not stated', {}, (m) => Object.assign(m.decode, { endStated: false }), 'unmeasured'],
    [
      'an end that is not stated, and no proof asked for',
      { proof: false },
      (m) => Object.assign(m.decode, { endStated: false }),
      'pass',
    ],
    [
      'an end that is not stated, as many frames as the original',
      {},
      (m) => Object.assign(m.decode, { endStated: false }),
      'pass',
      measured(),
    ],
    [
      'an end that is not stated, a frame less than the original',
      {},
      (m) => Object.assign(m.decode, { endStated: false }),
      'unmeasured',
      measured(video({ frames: 251 })),
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

describe('a file that does not say how much it holds', () => {
  it.each([
    [{ 'frame-count': { is: 250 } }, 'pass'],
    [{ duration: { seconds: 10 } }, 'pass'],
    [{ 'frame-count': {} }, 'unmeasured'],
  ])('by a target that requires %j: %s', (require, outcome) => {
    const file = measured((m) => Object.assign(m.decode, { endStated: false }));
    const { findings } = judge(file, { name: 't', require: requirementSet.parse(require) }, {});
    expect(findings.find(({ requirement }) => requirement === 'decode')?.outcome).toBe(outcome);
  });
});
