import { none } from '../changes.js';
import { bothChannels, rightChannel } from '../measured-sound.js';
import { describeRows } from '../rows.js';
import { content } from './contents.js';

const tone = (levelDbfs: number) => ({ from: 0, to: 96_000, levelDbfs });

describeRows('line-up-tone', [
  ['none', {}, none, 'fail'],
  ['EBU R 68 line-up, -18 dBFS (from memory)', {}, content(bothChannels({ tone: tone(-18) })), 'pass'],
  ['half a decibel off', {}, content(bothChannels({ tone: tone(-17.5) })), 'pass'],
  ['more', {}, content(bothChannels({ tone: tone(-17.49) })), 'fail'],
  [
    'SMPTE RP 155 line-up, -20 dBFS (from memory)',
    { level: -20 },
    content(bothChannels({ tone: tone(-20) })),
    'pass',
  ],
  ['in one channel only', {}, content(rightChannel({ tone: tone(-18) })), 'fail'],
  ['samples not known', {}, content(null), 'unmeasured'],
]);
