import { both, coding, layer, noCoding, none, noWrapper, track } from '../changes.js';
import { type Change, noVideo, video } from '../measured.js';
import { describeRows } from '../rows.js';

const fielded = layer('bitstream', { scan: 'interlaced-tff' });
/** Ten frames of 260 lie before the edit; so many are decoded. */
function hiding(frames: number, presentedSamples: number | null, partlyPresented = 0): Change {
  const edits = [{ seconds: 10, mediaStartSeconds: 0.4, rate: 1 }];
  const times = { mediaSeconds: 10.4, presentedSeconds: 10, presentedSamples, partlyPresented };
  return both(
    track('video', { samples: 260, edits, ...times }),
    coding({ packets: 260 }),
    video({ frames, framesDeclared: 250 }),
  );
}
/** MXF declares no number of frames, but the length of its track. */
function mxf(seconds: number | null): Change {
  return both(
    track('video', { samples: null, edits: null, presentedSeconds: seconds }),
    video({ framesDeclared: null }),
    (m) => Object.assign(m.container, { format: 'mxf' }),
  );
}

describeRows('frame-count', [
  ['equal', {}, none, 'pass'],
  ['one less decoded', {}, video({ frames: 249 }), 'fail'],
  ['one more decoded', {}, video({ frames: 251 }), 'fail'],
  ['one less declared', {}, video({ framesDeclared: 249 }), 'fail'],
  ['one packet more', {}, coding({ packets: 251 }), 'fail'],
  ['one less in the table', {}, track('video', { presentedSamples: 249 }), 'fail'],
  ['as many as the target states', { is: 250 }, none, 'pass'],
  ['one less than the target states', { is: 251 }, none, 'fail'],
  ['as many as the target states, and not declared', { is: 250 }, both(mxf(null), noWrapper), 'pass'],
  ['none at all', {}, video({ frames: 0, framesDeclared: 0 }), 'fail'],
  // 260 frames in the table at 25 a second, ten of them before the edit begins.
  ['hidden by the edit list', {}, hiding(250, 250), 'pass'],
  ['shown although hidden', {}, hiding(260, 250), 'fail'],
  ['hidden, at another speed', {}, hiding(250, null), 'unmeasured'],
  ['hidden in part, and shown', {}, hiding(251, 250, 1), 'unmeasured'],
  ['hidden in part, and one more shown', {}, hiding(252, 250, 1), 'fail'],
  ['a packet for each field', {}, both(coding({ packets: 500 }), fielded), 'pass'],
  [
    'a sample and a packet for each field',
    {},
    both(coding({ packets: 500 }), track('video', { samples: 500, presentedSamples: 500 }), fielded),
    'pass',
  ],
  ['twice the packets, progressive', {}, coding({ packets: 500 }), 'fail'],
  ['MXF, its length agrees', {}, mxf(10), 'pass'],
  ['MXF, its length one frame more', {}, mxf(10.04), 'fail'],
  ['MXF, no length', {}, mxf(null), 'unmeasured'],
  ['not declared', {}, both(mxf(null), noWrapper), 'unmeasured'],
  ['packets not listed', {}, noCoding, 'unmeasured'],
  ['packets not listed, and one less', {}, both(noCoding, track('video', { presentedSamples: 249 })), 'fail'],
  ['no picture', {}, noVideo, 'fail'],
]);
