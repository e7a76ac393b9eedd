import { describe, expect, it } from 'vitest';
import { DamageLog } from '../../../../workers/measure/decoding/damage.js';

/** Lines as ffmpeg 5.1 prints them (format strings of libavformat and libavcodec). */
function read(line: string) {
  const log = new DamageLog();
  log.read(`[x @ 0x55] ${line}`);
  return { errors: log.errors, early: log.endsEarly, guesses: log.guesses.length };
}

describe('messages that tell of an early end', () => {
  it.each([
    ['[error] File ended prematurely at pos. 4711 (0x1267)', { errors: 1, early: true, guesses: 0 }],
    ['[error] stream 0, offset 0x2f1: partial file', { errors: 1, early: true, guesses: 0 }],
    ['[warning] Truncating packet of size 900 to 300', { errors: 1, early: true, guesses: 0 }],
    // A decoder's word about one of its packets is an error, and says nothing of the end of the file.
    ['[error] Frame too small (12 bytes). Truncated file?', { errors: 1, early: false, guesses: 0 }],
    ['[error] Premature end of data! (need 9 got 3)', { errors: 1, early: false, guesses: 0 }],
    // A message beside the picture: nothing of the picture is lost.
    ['[error] SEI type 5 size 680 truncated at 640', { errors: 0, early: false, guesses: 0 }],
    [
      '[warning] Last packet was truncated to 200 due to end trimming.',
      { errors: 0, early: false, guesses: 0 },
    ],
    // What the reader of MXF did not find: index and footer tell whether it is missing.
    [
      '[error] failed to find absolute offset of 4F00 in BodySID 1 - partial file?',
      { errors: 0, early: false, guesses: 1 },
    ],
    [
      '[error] failed to seek to FooterPartition @ 0x4f00 (-5) - partial file?',
      { errors: 0, early: false, guesses: 1 },
    ],
  ])('%s', (line, expected) => {
    expect(read(line)).toEqual(expected);
  });
});

it('a file that ends early counts as one fault, in however many streams it is reported', () => {
  const log = new DamageLog();
  for (const stream of [0, 1, 2])
    log.read(`[mov @ 0x55] [error] stream ${stream}, offset 0x2f1: partial file`);
  expect([log.errors, log.messages]).toEqual([1, ['stream 0, offset 0x2f1: partial file']]);
});

// As of `ffmpeg -f wav - > file`: the header states no length, and the last packet is a short one.
it('a WAV that was written to a pipe is whole; other short packets are damage', () => {
  const errorsOf = (demuxer: string, lines: readonly string[]): number => {
    const log = new DamageLog();
    log.read(`[${demuxer} @ 0x55] [warning] Packet corrupt (stream = 0, dts = NOPTS).`);
    for (const line of lines) log.read(line);
    return log.errors;
  };
  const again = '[warning] file:/a.wav: corrupt input packet in stream 0';
  expect(errorsOf('wav', [again])).toBe(0);
  expect(errorsOf('wav', [again, again])).toBe(1);
  expect(errorsOf('mpegts', [again])).toBe(2);
});

it('a first frame that is no key frame is usual in H.261, and an error in MPEG-4', () => {
  const errorsOf = (codec: string): number => {
    const log = new DamageLog();
    log.read(`[${codec} @ 0x55] [error] warning: first frame is no keyframe`);
    return log.errors;
  };
  expect([errorsOf('h261'), errorsOf('mpeg4')]).toEqual([0, 1]);
});
