import { none } from '../changes.js';
import { noVideo, video } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows('video-codec', [
  ['the codec', { is: ['prores'] }, none, 'pass'],
  ['one of several codecs', { is: ['h264', 'prores'] }, none, 'pass'],
  ['one of several profiles', { is: ['prores'], profiles: ['4444', 'HQ'] }, none, 'pass'],
  ['its profile, written otherwise', { is: ['prores'], profiles: ['hq'] }, none, 'pass'],
  ['another codec', { is: ['h264', 'hevc'] }, none, 'fail'],
  ['another profile', { is: ['prores'], profiles: ['4444'] }, none, 'fail'],
  ['a profile that only begins alike', { is: ['prores'], profiles: ['HQ Intra'] }, none, 'fail'],
  ['no profile stated', { is: ['prores'], profiles: ['HQ'] }, video({ profile: null }), 'fail'],
  ['the trade name of a codec', { is: ['cineform'] }, video({ codec: 'cfhd' }), 'pass'],
  ['no picture', { is: ['prores'] }, noVideo, 'fail'],
]);
