import { none } from '../changes.js';
import { noVideo, video } from '../measured.js';
import { describeRows } from '../rows.js';

function PQ(): object {
  return { primaries: 'bt2020', transfer: ['smpte2084'], matrix: 'bt2020nc', range: 'narrow' };
}

describeRows('colour', [
  ['all four', PQ(), none, 'pass'],
  ['other primaries', PQ(), video((v) => Object.assign(v.colour, { primaries: 'bt709' })), 'fail'],
  ['other transfer', PQ(), video((v) => Object.assign(v.colour, { transfer: 'arib-std-b67' })), 'fail'],
  ['other matrix', PQ(), video((v) => Object.assign(v.colour, { matrix: 'bt709' })), 'fail'],
  ['other range', PQ(), video((v) => Object.assign(v.colour, { range: 'full' })), 'fail'],
  ['primaries not stated', PQ(), video((v) => Object.assign(v.colour, { primaries: null })), 'fail'],
  ['transfer unspecified', PQ(), video((v) => Object.assign(v.colour, { transfer: 'unspecified' })), 'fail'],
  ['matrix not stated', PQ(), video((v) => Object.assign(v.colour, { matrix: null })), 'fail'],
  ['range not stated', PQ(), video((v) => Object.assign(v.colour, { range: null })), 'fail'],
  ['no picture', PQ(), noVideo, 'fail'],
]);
