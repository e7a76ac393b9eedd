import { none } from '../changes.js';
import { noSound, sound } from '../measured.js';
import { bothChannels, rightChannel } from '../measured-sound.js';
import { describeRows } from '../rows.js';
import { content } from './contents.js';

describeRows('audio', [
  [
    'as wanted',
    { sampleRate: 48_000, bitDepth: 24, minChannels: 2, maxChannels: 2, codecs: ['pcm_s24le'] },
    none,
    'pass',
  ],
  ['all bits used', { effectiveBitDepth: 24 }, none, 'pass'],
  ['16 bits in 24', { effectiveBitDepth: 24 }, content(bothChannels({ usedBits: 16 })), 'fail'],
  ['one channel of 16 bits', { effectiveBitDepth: 24 }, content(rightChannel({ usedBits: 16 })), 'fail'],
  ['more bits than asked for', { effectiveBitDepth: 16 }, none, 'pass'],
  ['a silent channel beside', { effectiveBitDepth: 24 }, content(rightChannel({ usedBits: null })), 'pass'],
  ['bits of silence', { effectiveBitDepth: 24 }, content(bothChannels({ usedBits: null })), 'unmeasured'],
  ['bits of nothing', { effectiveBitDepth: 24 }, content(null), 'unmeasured'],
  ['bits of lossy coding', { effectiveBitDepth: 16 }, sound({ codec: 'aac', bitDepth: null }), 'fail'],
  ['two to a stream', { channelsPerStream: [2] }, none, 'pass'],
  ['one to a stream', { channelsPerStream: [1] }, none, 'fail'],
  ['the layout', { layouts: ['mono', 'stereo'] }, none, 'pass'],
  ['another layout', { layouts: ['5.1(side)'] }, none, 'fail'],
  ['no layout stated', { layouts: ['stereo'] }, sound({ layout: null }), 'fail'],
  ['another rate', { sampleRate: 48_000 }, sound({ sampleRate: 44_100 }), 'fail'],
  ['another depth', { bitDepth: 24 }, sound({ bitDepth: 16 }), 'fail'],
  ['another codec', { codecs: ['aac'] }, none, 'fail'],
  ['lossy coding has no depth', { bitDepth: 24 }, sound({ codec: 'aac', bitDepth: null }), 'fail'],
  ['depth not stated', { bitDepth: 24 }, sound({ bitDepth: null }), 'unmeasured'],
  ['channels over all streams', { minChannels: 4, maxChannels: 4 }, sound({}, {}), 'pass'],
  ['one channel too few', { minChannels: 3 }, none, 'fail'],
  ['one channel too many', { maxChannels: 1 }, none, 'fail'],
  ['the second stream counts too', { sampleRate: 48_000 }, sound({}, { sampleRate: 32_000 }), 'fail'],
  ['no sound', {}, noSound, 'fail'],
  ['the wrong sound, where none is welcome too', { minChannels: 0, codecs: ['aac'] }, none, 'fail'],
  ['one channel, where no count is asked for', {}, sound({ channels: 1 }), 'pass'],
  ['no sound, which is welcome', { minChannels: 0, codecs: ['aac'] }, noSound, 'pass'],
]);
