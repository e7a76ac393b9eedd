import { describe, expect, it } from 'vitest';
import { rational } from '../../../../signal/rational.js';
import { codingFigures } from '../../../../workers/measure/container/coding-figures.js';
import type { Packets } from '../../../../workers/probe/packets.js';

/**
 * A coded order in words: the place each picture is presented at, key frames with a star. One tick is one
 * frame; pictures are decoded one a tick.
 */
function packets(order: string, bytes: readonly number[] = [], perSecond = 25): Packets {
  const words = order.split(' ');
  return {
    count: words.length,
    bytes: Uint32Array.from(words, (_, i) => bytes[i % bytes.length] ?? 100),
    decodeTimes: Float64Array.from(words, (_, i) => i - 1),
    presentationTimes: Float64Array.from(words, (word) => Number(word.replace('*', ''))),
    key: Uint8Array.from(words, (word) => (word.endsWith('*') ? 1 : 0)),
    timeBase: rational(1, perSecond),
  };
}
const all = (frames: number, key: number, intra = key) => ({
  frames,
  typed: frames,
  key,
  intra,
  keyNotIntra: 0,
});

// ITU-T H.264, 3.69 and 7.4.1.2.4 (from memory): after an IDR picture no picture refers to one before it, and
// none is output before it.
const CLOSED = '0* 2 1 3* 5 4 6* 8 7';
const OPEN = '0* 3* 1 2 6* 4 5';

describe('groups of pictures', () => {
  it.each([
    ['closed', 'h264', CLOSED, { shortest: 3, longest: 3, closed: true }],
    ['open in H.264', 'h264', OPEN, { shortest: 3, longest: 3, closed: false }],
    // MPEG-2 has a flag for it, HEVC pictures of both kinds: the order alone does not tell.
    ['perhaps open in HEVC', 'hevc', OPEN, { shortest: 3, longest: 3, closed: null }],
    ['perhaps open in MPEG-2', 'mpeg2video', OPEN, { shortest: 3, longest: 3, closed: null }],
    ['of uneven length', 'h264', '0* 1 2* 3 4 5* 6 7 8', { shortest: 2, longest: 4, closed: true }],
    ['the last cut short', 'h264', '0* 1 2 3* 4 5 6*', { shortest: 3, longest: 3, closed: true }],
    ['one alone', 'h264', '0* 1 2 3', { shortest: null, longest: 4, closed: true }],
    [
      'pictures before the first key frame',
      'mpeg2video',
      '2* 0 1 3',
      { shortest: null, longest: 2, closed: true },
    ],
  ])('%s', (_, codec, order, gop) => {
    const list = packets(order);
    const keys = list.key.reduce((sum, flag) => sum + flag, 0);
    expect(codingFigures(codec, list, all(list.count, keys)).gop).toEqual(gop);
  });

  it('none where no key frame is marked', () => {
    expect(codingFigures('h264', packets('0 1 2'), all(3, 0)).gop).toBeNull();
  });

  it('are not called closed where a key frame is no intra picture, or the decoder told no kinds', () => {
    const refresh = { ...all(9, 3), keyNotIntra: 1 };
    expect(codingFigures('h264', packets(CLOSED), refresh).gop?.closed).toBeNull();
    const untold = { ...all(9, 3), typed: 8 };
    const figures = codingFigures('h264', packets(CLOSED), untold);
    expect(figures.gop?.closed).toBeNull();
    expect(figures.intraOnly).toBeNull();
    expect(figures.keyFrames).toEqual({ container: 3, bitstream: null });
  });

  it('are intra only when every decoded frame is', () => {
    expect(codingFigures('prores', packets('0* 1* 2*'), all(3, 3)).intraOnly).toBe(true);
    // A table that marks every picture proves nothing.
    expect(codingFigures('h264', packets('0* 1* 2*'), all(3, 3, 2)).intraOnly).toBe(false);
  });
});

describe('bit rate', () => {
  it('of equal pictures is the same on average and in every second', () => {
    const order = Array.from({ length: 50 }, (_, i) => `${i}*`).join(' ');
    // 25 pictures of 1,000 bytes a second: 200,000 bits.
    expect(codingFigures('prores', packets(order, [1000]), all(50, 50)).bitRate).toEqual({
      mean: 200_000,
      peak: 200_000,
    });
  });

  it('peaks in the second that holds the most, wherever it begins', () => {
    const order = Array.from({ length: 8 }, (_, i) => `${i}*`).join(' ');
    // Two a second: 1+1, 1+9, 9+9, 9+1, 1+1, ... bytes; the fullest holds 18. In all 24 bytes in 4 s.
    const list = packets(order, [1, 1, 9, 9, 1, 1, 1, 1], 2);
    expect(codingFigures('prores', list, all(8, 8)).bitRate).toEqual({ mean: 48, peak: 144 });
  });

  it('has no peak in less than a second, and is nothing without times', () => {
    const short = packets('0* 1* 2*', [1000]);
    expect(codingFigures('prores', short, all(3, 3)).bitRate).toEqual({ mean: 200_000, peak: null });
    const timeless = { ...short, decodeTimes: short.decodeTimes.map(() => Number.NaN) };
    const untimed = { ...timeless, presentationTimes: timeless.decodeTimes };
    expect(codingFigures('prores', untimed, all(3, 3)).bitRate).toBeNull();
    // Matroska keeps times of presentation alone.
    expect(codingFigures('prores', timeless, all(3, 3)).bitRate?.mean).toBe(200_000);
  });
});

describe('time stamps', () => {
  it.each([
    ['in order', [0, 1, 2], [0, 1, 2], { missing: 0, repeated: 0, backward: 0 }],
    ['two at one time', [0, 1, 2], [0, 1, 1], { missing: 0, repeated: 1, backward: 0 }],
    ['one without', [0, 1, 2], [0, Number.NaN, 2], { missing: 1, repeated: 0, backward: 0 }],
    ['decoded in no time', [0, 1, 1], [0, 1, 2], { missing: 0, repeated: 0, backward: 1 }],
    ['decoded before the one before', [0, 2, 1], [0, 1, 2], { missing: 0, repeated: 0, backward: 1 }],
  ])('%s', (_, decode, present, timestamps) => {
    const list: Packets = {
      ...packets('0* 1* 2*'),
      decodeTimes: Float64Array.from(decode),
      presentationTimes: Float64Array.from(present),
    };
    expect(codingFigures('prores', list, all(3, 3)).timestamps).toEqual(timestamps);
  });
});
