import { describe, expect, it } from 'vitest';
import type { Vote } from '../../../../../workers/measure/picture/fields/field-evidence.js';
import { scanSegments } from '../../../../../workers/measure/picture/fields/scan-segments.js';

/** Votes of frames in turn: `frames` of them, each kind as often as it is named. */
const turns = (frames: number, ...kinds: readonly Vote[]): Vote[] =>
  Array.from({ length: frames }, (_, n) => kinds[n % kinds.length] ?? null);
const scanOf = (votes: readonly Vote[], pulldown: readonly number[] = []) =>
  scanSegments(votes, new Array<boolean>(votes.length).fill(false), pulldown);

describe('a programme whose frames show signs of several scans', () => {
  it.each<[string, readonly Vote[]]>([
    [
      'a logo that slides: many lean slightly, many look progressive',
      turns(50, 'maybe-top', 'progressive', 'maybe-top'),
    ],
    [
      'slight leaning, in stretches, to both sides',
      [...turns(30, 'maybe-top'), ...turns(30, 'maybe-bottom')],
    ],
    ['slight leaning to both sides in turn', turns(60, 'maybe-top', 'maybe-bottom')],
    [
      'more bottom than top',
      [...turns(9, 'bottom'), ...turns(18, 'maybe-bottom', 'maybe-top'), ...turns(6, 'top', 'bottom')],
    ],
    [
      'a sharpened square: combing and progressive frames',
      turns(26, 'bottom', 'progressive', 'bottom', 'progressive', null),
    ],
  ])('%s: not interlaced', (_, votes) => {
    const { scan, segments } = scanOf(votes);
    expect([null, 'progressive']).toContain(scan);
    for (const segment of segments) expect([null, 'progressive']).toContain(segment.scan);
  });
  it('weak signs of one field order alone mean interlaced, not certain', () =>
    expect(scanOf(turns(40, 'maybe-bottom', null))).toMatchObject({
      scan: 'interlaced-bff',
      confidence: 'low',
    }));
  it('fields shown by combing outvote weak signs of the other order', () =>
    expect(scanOf(turns(60, 'top', 'top', 'top', 'top', 'top', 'maybe-bottom'))).toMatchObject({
      scan: 'interlaced-tff',
      confidence: 'high',
    }));
  it('two of five frames look progressive under pulldown, and only there', () => {
    const votes = turns(50, 'progressive', 'progressive', 'top', null, 'top');
    const fields = votes.flatMap((vote, frame) => (vote === 'top' ? [frame] : []));
    expect(scanOf(votes, fields).scan).toBe('interlaced-tff');
    expect(scanOf(votes).scan).not.toBe('interlaced-tff');
  });
  it('weak signs in a part of a progressive programme are no other scan, and leave it uncertain', () => {
    const { scan, confidence, segments } = scanOf([...turns(40, 'progressive'), ...turns(60, 'maybe-top')]);
    expect([scan, confidence]).toEqual(['progressive', 'low']);
    expect(segments).toEqual([
      { scan: 'progressive', from: 0, to: 40 },
      { scan: null, from: 40, to: 100 },
    ]);
  });
});
