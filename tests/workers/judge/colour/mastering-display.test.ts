import type { HdrStaticMetadata } from '../../../../jobs/manifest/colour.js';
import { none } from '../changes.js';
import { type Change, there } from '../measured.js';
import { describeRows } from '../rows.js';

function mastering(values: Partial<NonNullable<HdrStaticMetadata['mastering']>>): Change {
  return (m) => Object.assign(there(m.hdr.mastering, 'mastering display'), values);
}

describeRows('mastering-display', [
  ['one of the named', { primaries: ['smpte432'] }, none, 'pass'],
  ['another', { primaries: ['bt709', 'bt2020'] }, none, 'fail'],
  ['at most the peak', { primaries: ['smpte432'], maxLuminance: 1000 }, none, 'pass'],
  ['above the peak', { primaries: ['smpte432'], maxLuminance: 999 }, none, 'fail'],
  ['another green, in y alone', { primaries: ['smpte432'] }, mastering({ green: [0.265, 0.7] }), 'fail'],
  ['another white', { primaries: ['smpte432'] }, mastering({ white: [0.314, 0.351] }), 'fail'],
  ['rounded as metadata is', { primaries: ['smpte432'] }, mastering({ green: [0.26502, 0.68998] }), 'pass'],
  ['darkest above brightest', { primaries: ['smpte432'] }, mastering({ minLuminance: 1000 }), 'fail'],
  ['darkest 0 means unknown', { primaries: ['smpte432'] }, mastering({ minLuminance: 0 }), 'warn'],
  ['not stated', { primaries: ['smpte432'] }, (m) => Object.assign(m.hdr, { mastering: null }), 'fail'],
]);
