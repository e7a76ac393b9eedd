import { none, noWrapper, startAt, timecodeTrack } from '../changes.js';
import { type Change, note, video } from '../measured.js';
import { describeRows } from '../rows.js';

/** The picture, its timecode and its timecode track at another rate. */
function at(rate: string, start: string, fields: object): Change {
  return (m) => {
    video({ frameRate: rate })(m);
    m.container.startTimecode = start;
    timecodeTrack({ start, ...fields })(m);
  };
}

describeRows('timecode', [
  ['there', {}, none, 'pass'],
  ['from the wanted label', { start: '10:00:00:00' }, none, 'pass'],
  ['a frame late', { start: '10:00:00:00' }, startAt('10:00:00:01'), 'fail'],
  ['none', {}, startAt(null), 'fail'],
  ['a label its rate does not have', {}, startAt('10:00:00:25'), 'fail'],
  ['drop frame at 25 (ST 12-1)', {}, startAt('10:00:00;00'), 'fail'],
  ['no text of a timecode', {}, startAt('ten'), 'fail'],
  ['no rate to count by', {}, video({ frameRate: null }), 'unmeasured'],
  ['a track flagged drop frame at 25 (ST 12-1)', {}, timecodeTrack({ dropFrame: true, start: null }), 'fail'],
  [
    'a track that counts at another rate',
    {},
    timecodeTrack({ frameRate: '24/1', framesPerSecond: 24 }),
    'fail',
  ],
  ['a track that counts 24 labels at 25', {}, timecodeTrack({ framesPerSecond: 24 }), 'fail'],
  ['a track that begins elsewhere', {}, timecodeTrack({ start: '10:00:00:01' }), 'fail'],
  [
    'drop frame at 29.97 (ST 12-1)',
    {},
    at('30000/1001', '10:00:00;00', { frameRate: '30000/1001', framesPerSecond: 30, dropFrame: true }),
    'pass',
  ],
  ['25 labels for 50 frames', {}, at('50/1', '10:00:00:00', { frameRate: '25/1' }), 'pass'],
  ['no track at all', {}, noWrapper, 'pass'],
  ['a track that was not read', {}, note('wrapper'), 'unmeasured'],
  ['continuous', { continuous: true }, none, 'pass'],
  [
    'a jump',
    { continuous: true },
    timecodeTrack({ samples: 2, jumps: [{ frame: 5, expected: 905, found: 906 }] }),
    'fail',
  ],
  [
    'a jump nobody asked about',
    {},
    timecodeTrack({ samples: 2, jumps: [{ frame: 5, expected: 905, found: 906 }] }),
    'pass',
  ],
  ['a track one frame short', { continuous: true }, timecodeTrack({ frames: 249 }), 'fail'],
  ['continuity not known', { continuous: true }, noWrapper, 'unmeasured'],
  [
    'continuity doubted and start wrong',
    { continuous: true, start: '01:00:00:00' },
    (m) => {
      noWrapper(m);
      note('wrapper.timecode')(m);
    },
    'fail',
  ],
]);
