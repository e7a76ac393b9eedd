import { levels, none } from '../changes.js';
import { noLevels, note, noVideo, video } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows('range-flag', [
  ['agree', {}, none, 'pass'],
  ['full picture, narrow flag', {}, levels({ looksFullRange: true }), 'fail'],
  ['narrow picture, full flag', {}, video((v) => Object.assign(v.colour, { range: 'full' })), 'fail'],
  ['no flag', {}, video((v) => Object.assign(v.colour, { range: null })), 'unmeasured'],
  ['no levels, no proof asked for', { proof: false }, noLevels, 'unmeasured'],
  ['doubted, no proof asked for', { proof: false }, note('levels'), 'unmeasured'],
  ['too little tone, no proof asked for', { proof: false }, levels({ looksFullRange: null }), 'pass'],
  ['contradiction, no proof asked for', { proof: false }, levels({ looksFullRange: true }), 'fail'],
  ['too little tone', {}, levels({ looksFullRange: null }), 'unmeasured'],
  ['no levels', {}, noLevels, 'unmeasured'],
  ['no picture', {}, noVideo, 'fail'],
]);
