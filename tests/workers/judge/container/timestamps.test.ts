import { coding, noCoding, none } from '../changes.js';
import { type Change, noVideo, video } from '../measured.js';
import { describeRows } from '../rows.js';

function event(kind: string): Change {
  return (m) => {
    m.events.push({ kind, from: 3, to: 4, fromTimecode: null, toTimecode: null, detail: '' });
    video({ constantRate: false })(m);
  };
}

describeRows('timestamps', [
  ['even', {}, none, 'pass'],
  ['a gap', {}, event('timestamp-gap'), 'fail'],
  ['a repeat', {}, event('timestamp-repeat'), 'fail'],
  ['one packet without a time', {}, coding({ timestamps: { missing: 1, repeated: 0, backward: 0 } }), 'fail'],
  [
    'no packet has one: the frames have',
    {},
    coding({ timestamps: { missing: 250, repeated: 0, backward: 0 } }),
    'pass',
  ],
  ['two packets at one time', {}, coding({ timestamps: { missing: 0, repeated: 1, backward: 0 } }), 'fail'],
  ['a step back', {}, coding({ timestamps: { missing: 0, repeated: 0, backward: 1 } }), 'fail'],
  ['stamps of the frames not known', {}, video({ constantRate: null }), 'unmeasured'],
  ['packets not listed', {}, noCoding, 'unmeasured'],
  ['no picture', {}, noVideo, 'fail'],
]);
