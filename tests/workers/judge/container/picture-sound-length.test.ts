import { expect, it } from 'vitest';
import { none } from '../changes.js';
import { noSound, note, noVideo, sound, video } from '../measured.js';
import { describeRows, findingOf } from '../rows.js';

describeRows('picture-sound-length', [
  ['one frame longer', {}, sound({ durationSeconds: 10.04 }), 'pass'],
  ['one frame shorter', {}, sound({ durationSeconds: 9.96 }), 'pass'],
  ['more than a frame longer', {}, sound({ durationSeconds: 10.0401 }), 'fail'],
  ['more than a frame shorter', {}, sound({ durationSeconds: 9.9599 }), 'fail'],
  ['exact where it must be', { maxFrames: 0 }, none, 'pass'],
  ['sound not measured', {}, note('audio[0]'), 'unmeasured'],
  ['no frame rate', {}, video({ frameRate: null }), 'unmeasured'],
  ['no sound', {}, noSound, 'fail'],
  ['no picture', {}, noVideo, 'fail'],
]);

it.each([
  [10.2, '5.00 frames longer'],
  [9.8, '5.00 frames shorter'],
])('sound of %f s is %s than the picture', (durationSeconds, words) => {
  const finding = findingOf('picture-sound-length', {}, sound({ durationSeconds }));
  expect(finding.measured).toContain(words);
});
