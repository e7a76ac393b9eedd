import { describe, expect, it } from 'vitest';
import { scanFacts } from '../../../workers/probe/scan-type.js';

const P = { interlaced_frame: false, top_field_first: false, side_data_list: [] };
const T = { interlaced_frame: true, top_field_first: true, side_data_list: [] };
const B = { interlaced_frame: true, top_field_first: false, side_data_list: [] };

/** `tb` is QuickTime's code 9, written for top field first; `bt` is 14 (common practice, no source). */
describe('scan', () => {
  it.each([
    ['progressive said twice', 'h264', 'progressive', [P, P], 'progressive'],
    ['top first said twice', 'h264', 'tt', [T, T], 'interlaced-tff'],
    ['bottom first said twice', 'mpeg2video', 'bb', [B], 'interlaced-bff'],
    ['woven, top first', 'prores', 'tb', [T, T], 'interlaced-tff'],
    ['woven, bottom first', 'prores', 'bt', [B], 'interlaced-bff'],
    ['woven, and frames that say nothing', 'v210', 'tb', [P], 'interlaced-tff'],
    ['frames alone', 'h264', 'unknown', [T], 'interlaced-tff'],
    ['progressive frames alone, of a codec that would say', 'h264', undefined, [P], 'progressive'],
    ['frames of a codec that would not say', 'v210', undefined, [P], null],
    ['nothing at all', 'v210', undefined, [], null],
  ])('%s', (_, codec, order, frames, wanted) => {
    expect(scanFacts(codec, order, frames)).toEqual({ scan: wanted, note: null });
  });

  it.each([
    ['container interlaced, frames progressive', 'tt', [P], null],
    ['container and frames of opposite order', 'tt', [B], null],
    ['frames of both kinds', 'tt', [T, P], null],
    ['frames of both orders', 'tt', [T, B], null],
    ['a container that says progressive by default', 'progressive', [T], 'interlaced-tff'],
  ])('a contradiction is said: %s', (_, order, frames, wanted) => {
    const found = scanFacts('h264', order, frames);
    expect(found.scan).toBe(wanted);
    expect(found.note).toMatch(/^scan: /);
  });
});
