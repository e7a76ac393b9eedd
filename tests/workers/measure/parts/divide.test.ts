import { describe, expect, it } from 'vitest';
import type { ClipFacts, VideoFacts } from '../../../../jobs/manifest/facts.js';
import { readThreading } from '../../../../workers/capabilities/decoder-threads.js';
import { divideFile, isUndivided } from '../../../../workers/measure/parts/divide.js';
import { naiveFacts } from '../picture/kernel/naive-picture.js';

describe('which files are cut', () => {
  const facts: ClipFacts = {
    ...{ bytes: 1, modified: '2026-01-01T00:00:00.000Z', audio: [], otherStreams: [], notes: [] },
    container: {
      format: 'mov,mp4,m4a,3gp,3g2,mj2',
      durationSeconds: 40,
      startTimecode: null,
      reel: null,
      chapters: 0,
      tags: {},
    },
    video: {
      ...naiveFacts(
        {
          ...{ width: 64, height: 36, depth: 8, model: 'ycbcr', shiftX: 0, shiftY: 0, interlaced: false },
          ...{
            planes: [],
            colour: { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'narrow' },
          },
        },
        'yuv444p',
      ),
      frames: 1000,
    },
  };
  const limits = { here: 4, elsewhere: 0, leastFrames: 250 };
  const video = (change: Partial<VideoFacts>): ClipFacts => ({
    ...facts,
    video: facts.video && { ...facts.video, ...change },
  });

  it('into as many parts as are allowed and long enough', () => {
    // A second of flashes by trackers of up to two, and one frame more for the change: 3 x 25 + 1.
    expect(divideFile(facts, null, limits)).toMatchObject({
      ranges: [
        { from: 0, to: 250, lead: 0 },
        { from: 250, to: 500, lead: 76 },
        { from: 500, to: 750, lead: 76 },
        { from: 750, to: 1000, lead: 76 },
      ],
    });
    expect(divideFile(video({ frames: 749 }), null, limits)).toMatchObject({ ranges: { length: 2 } });
  });

  it('into more than there are places where others are idle, large frames too', () => {
    const many = video({ frames: 100_000 });
    const partsFor = (here: number, elsewhere: number, file = many): number => {
      const division = divideFile(file, null, { here, elsewhere, leastFrames: 250 });
      return isUndivided(division) ? 1 : division.ranges.length;
    };
    expect(partsFor(1, 3)).toBe(8);
    expect(partsFor(2, 1)).toBe(6);
    expect(partsFor(1, 1000)).toBe(64);
    expect(partsFor(1, 3, facts)).toBe(4);
    const large = { width: 3840, height: 2160, pixelFormat: 'yuv444p16le', frames: 100_000 };
    // Each of the two has room for one.
    expect(partsFor(4, 1, video(large))).toBe(4);
  });

  it.each([
    ['pictures may build on one another', video({ codec: 'h264' }), /h264/],
    ['the rate varies', video({ constantRate: false }), /varies/],
    ['the rate is unknown', video({ frameRate: null }), /rate/],
    ['the number of frames is unknown', video({ frames: null }), /number/],
    ['it is short', video({ frames: 499 }), /few/],
    ['its samples are unknown', video({ pixelFormat: 'pal8' }), /not measured/],
    ['its frames are large', video({ width: 3840, height: 2160, pixelFormat: 'yuv444p16le' }), /400 MB/],
    ['it has no index', { ...facts, container: { ...facts.container, format: 'mpegts' } }, /index/],
    ['it has no picture', { ...facts, video: null }, /no picture/],
  ])('not where %s', (_, file, why) => {
    expect(divideFile(file, null, limits)).toEqual({ reason: expect.stringMatching(why) });
  });

  it.each([
    ['Decoder a [A]:\n    General capabilities: dr1 \n    Threading capabilities: none\n', true],
    [
      'Decoder a [A]:\n    General capabilities: dr1 threads \n    Threading capabilities: frame and slice\n',
      false,
    ],
    ["Codec 'a' is not recognized by FFmpeg.\n", null],
  ])('threads of a decoder: %#', (text, expected) => {
    expect(readThreading(text)).toBe(expected);
  });
});
