import { layer, none, uneven } from '../changes.js';
import { noVideo, video } from '../measured.js';
import { describeRows } from '../rows.js';

describeRows('rate-layers', [
  ['agree', {}, none, 'pass'],
  ['agree in other numbers', {}, layer('bitstream', { frameRate: { rate: '50/2', fixed: true } }), 'pass'],
  ['a thousandth off', {}, layer('bitstream', { frameRate: { rate: '25000/1001', fixed: true } }), 'fail'],
  ['another clock tick', {}, layer('bitstream', { frameRate: { rate: '1000/1', fixed: false } }), 'warn'],
  ['the tick agrees', {}, layer('bitstream', { frameRate: { rate: '25/1', fixed: false } }), 'pass'],
  ['agree, but frames uneven', {}, uneven, 'unmeasured'],
  ['bitstream silent', {}, layer('bitstream', { frameRate: null }), 'unmeasured'],
  ['silent, no proof asked for', { proof: false }, layer('bitstream', { frameRate: null }), 'pass'],
  ['no rate at all', {}, video({ frameRate: null }), 'unmeasured'],
  ['no picture', {}, noVideo, 'fail'],
]);
