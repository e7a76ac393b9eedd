import { describe, expect, it } from 'vitest';
import { timecodeAtRate } from '../../signal/timecode-at-rate.js';

/** Labels after SMPTE ST 12-1; the second of the day stays, the frame follows in proportion. */
describe('timecodeAtRate', () => {
  it.each([
    ['10:00:00:00', '25/1', '25/1', '10:00:00:00'],
    ['10:00:00:49', '50/1', '25/1', '10:00:00:24'],
    ['10:00:00:12', '25/1', '50/1', '10:00:00:24'],
    ['01:00:00;02', '30000/1001', '30000/1001', '01:00:00;02'],
    ['01:02:03;04', '30000/1001', '24000/1001', '01:02:03:03'],
    ['01:00:00:00', '24000/1001', '24/1', '01:00:00:00'],
  ])('%s at %s is at %s: %s', (label, from, to, wanted) => {
    expect(timecodeAtRate(label, from, to)).toBe(wanted);
  });

  it.each([
    ['a frame the rate does not have', '10:00:00:30', '25/1', '25/1'],
    ['a label drop frame skips', '00:01:00;00', '30000/1001', '30000/1001'],
    ['drop frame at a rate without it', '00:00:00;00', '25/1', '25/1'],
    ['no timecode at all', 'hello', '25/1', '25/1'],
    ['a rate without timecode', '00:00:00:00', '12500/1001', '25/1'],
  ])('is null for %s', (_, label, from, to) => {
    expect(timecodeAtRate(label, from, to)).toBeNull();
  });
});
