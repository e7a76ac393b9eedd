import { both, none, noWrapper, track, uneven, wrapper } from '../changes.js';
import { type Change, note, noVideo, there } from '../measured.js';
import { describeRows } from '../rows.js';

/** Ten seconds of picture in a container that keeps one length for all its tracks. */
function matroska(seconds: number, soundSeconds: number): Change {
  return both(
    track('video', { samples: null, edits: null, presentedSeconds: null }),
    (m) => Object.assign(m.container, { format: 'matroska,webm', durationSeconds: seconds }),
    (m) => Object.assign(there(m.audio[0], 'sound'), { durationSeconds: soundSeconds }),
    wrapper((w) => {
      w.tracks = w.tracks.filter(({ kind }) => kind === 'video' || kind === 'audio');
    }),
  );
}

describeRows('duration', [
  ['equal', {}, none, 'pass'],
  // 25 frames a second: half a frame is 0.02 s.
  ['half a frame', {}, track('video', { presentedSeconds: 10.02 }), 'pass'],
  ['more than half a frame', {}, track('video', { presentedSeconds: 10.021 }), 'fail'],
  ['a frame less', {}, track('video', { presentedSeconds: 9.96 }), 'fail'],
  ['a frame allowed', { maxFrames: 1 }, track('video', { presentedSeconds: 9.96 }), 'pass'],
  ['as long as the target states', { seconds: 10 }, none, 'pass'],
  ['a frame longer than the target states', { seconds: 9.96 }, none, 'fail'],
  ['as the target states, and not stated itself', { seconds: 10 }, noWrapper, 'pass'],
  ['sound alone, as long as the target states', { seconds: 10 }, noVideo, 'pass'],
  ['sound alone, shorter', { seconds: 10.2 }, noVideo, 'fail'],
  ['not stated', {}, track('video', { presentedSeconds: null }), 'unmeasured'],
  ['boxes not read', {}, noWrapper, 'unmeasured'],
  ['boxes doubted', {}, note('wrapper'), 'unmeasured'],
  ['frames uneven', {}, uneven, 'unmeasured'],
  ['one length for all tracks', {}, matroska(10, 10), 'pass'],
  ['one length for all, a frame more', {}, matroska(10.04, 10), 'fail'],
  ['one length for all, the sound longer', {}, matroska(10.5, 10.5), 'unmeasured'],
  ['one length for all, the sound longer than it', {}, matroska(10, 10.5), 'unmeasured'],
  ['no picture', {}, noVideo, 'fail'],
]);
