import { none, noWrapper, track, wrapper } from '../changes.js';
import { noSound, note, noVideo } from '../measured.js';
import { describeRows } from '../rows.js';

function edit(seconds: number, mediaStartSeconds: number) {
  return { seconds, mediaStartSeconds, rate: 1 };
}

describeRows('edit-list', [
  ['together', {}, none, 'pass'],
  // 1024 samples at 48 kHz.
  ['one frame of AAC late', {}, track('audio', { startSeconds: 1024 / 48_000 }), 'pass'],
  ['one sample more', {}, track('audio', { startSeconds: 1025 / 48_000 }), 'fail'],
  ['as early', {}, track('audio', { startSeconds: -1025 / 48_000 }), 'fail'],
  [
    'both late together',
    {},
    (m) => {
      track('audio', { startSeconds: 1 })(m);
      track('video', { startSeconds: 1 })(m);
    },
    'pass',
  ],
  ['a limit of its own', { maxSamples: 0 }, track('audio', { startSeconds: 1 / 48_000 }), 'fail'],
  ['two edits', {}, track('video', { edits: [edit(5, 0), edit(5, 5)] }), 'fail'],
  ['two edits, allowed', { simple: false }, track('video', { edits: [edit(5, 0), edit(5, 5)] }), 'pass'],
  ['at half speed', {}, track('video', { edits: [{ ...edit(10, 0), rate: 0.5 }] }), 'fail'],
  ['a frame is hidden', {}, track('video', { presentedSeconds: 9.96 }), 'fail'],
  ['primed sound', {}, track('audio', { mediaSeconds: 10.05 }), 'pass'],
  [
    'a delay and one edit',
    {},
    (m) => {
      for (const kind of ['video', 'audio'] as const)
        track(kind, {
          startSeconds: 1,
          edits: [{ seconds: 1, mediaStartSeconds: null, rate: 1 }, edit(10, 0)],
        })(m);
    },
    'pass',
  ],
  [
    'no edit lists in this container',
    {},
    (m) => {
      track('audio', { edits: null })(m);
      track('video', { edits: null })(m);
    },
    'pass',
  ],
  [
    'no sound',
    {},
    (m) => {
      noSound(m);
      wrapper((w) => {
        w.tracks = w.tracks.filter(({ kind }) => kind !== 'audio');
      })(m);
    },
    'pass',
  ],
  ['start not known', {}, track('audio', { startSeconds: null }), 'unmeasured'],
  ['boxes not read', {}, noWrapper, 'unmeasured'],
  ['boxes doubted: there may be edit lists', {}, note('wrapper'), 'unmeasured'],
  ['no picture', {}, noVideo, 'fail'],
]);
