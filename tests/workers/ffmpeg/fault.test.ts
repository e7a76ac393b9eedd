import { describe, expect, it } from 'vitest';
import { faultError, ffmpegFault, ffprobeFault } from '../../../workers/ffmpeg/fault.js';

const ENDED = { killedBy: null, endedBy: null, exitCode: 0, errors: [] };
const MEDIA = '[error] Error while decoding stream #0:0: Invalid data found when processing input';
const FAILED = { code: 'ffmpeg-failed', blamesFile: false };

describe('ffmpegFault', () => {
  it.each([
    ['in order', ENDED],
    ['in order over a damaged file', { ...ENDED, errors: [MEDIA] }],
    ['because we stopped it', { ...ENDED, killedBy: 'abort' as const, exitCode: 255 }],
  ])('is none where it ended %s', (_, result) => {
    expect(ffmpegFault(result)).toBeNull();
  });

  it.each([
    ['by a signal', { ...ENDED, endedBy: 'SIGKILL', exitCode: null, errors: [MEDIA] }],
    ['asked by a signal to end', { ...ENDED, endedBy: 'signal 15', exitCode: 255 }],
    ['without a word', { ...ENDED, exitCode: 1 }],
    [
      'with words of its own alone',
      {
        ...ENDED,
        exitCode: 1,
        errors: ['[fatal] Conversion failed!', '[error] Error while filtering: Broken pipe'],
      },
    ],
    [
      'without memory',
      {
        ...ENDED,
        exitCode: 1,
        errors: [MEDIA, '[error] Error while decoding stream #0:0: Cannot allocate memory'],
      },
    ],
    [
      'without memory, though it says it did well',
      { ...ENDED, errors: ['[error] [ffv1 @ 0x1] Cannot allocate memory'] },
    ],
  ])('is the program’s where it ended %s', (_, result) => {
    expect(ffmpegFault(result)).toMatchObject(FAILED);
  });

  it('is a hang where we stopped it for its silence', () => {
    const hung = { ...ENDED, killedBy: 'stall' as const, exitCode: null };
    expect(ffmpegFault(hung)).toMatchObject({ code: 'ffmpeg-timeout', blamesFile: false });
  });

  it('may be the file’s where it ended with an error over it', () => {
    const units = '[h264 @ 0x1] [error] Error splitting the input into NAL units.';
    expect(ffmpegFault({ ...ENDED, exitCode: 1, errors: [units] })).toMatchObject({ blamesFile: true });
    expect(ffmpegFault({ ...ENDED, exitCode: 1, errors: [MEDIA] })).toMatchObject({ blamesFile: true });
  });
});

describe('ffprobeFault', () => {
  it('is none where it says what is wrong with the file', () => {
    expect(ffprobeFault('[mov,mp4 @ 0x55] moov atom not found\nfile:/a: Invalid data found', 1)).toBeNull();
  });
  it.each(['', '\n', 'ffprobe: error while loading shared libraries: libx.so', 'x: Cannot allocate memory'])(
    'is its own where it says "%s"',
    (stderr) => {
      expect(ffprobeFault(stderr, 1)).toMatchObject(FAILED);
    },
  );
});

it('names the clip, not the folder in which it was laid out for ffmpeg', () => {
  const laidOut = '/tmp/goodgate-frames-0a1b2c3d-4711-12-AbCdEf';
  const errors = [
    `[error] [image2 @ 0x1] Could not open file : ${laidOut}/7.dpx`,
    `[fatal] file:${laidOut}/%d.dpx: Input/output error`,
  ];
  const fault = ffmpegFault({ ...ENDED, exitCode: 1, errors });
  if (fault === null) throw new Error('no fault');
  const { what, where } = faultError('ffmpeg', fault, '/card/shot.####.dpx');
  expect(what).toBe(
    'ffmpeg ended with exit code 1: [error] [image2 @ 0x1] Could not open file : /card/shot.####.dpx | [fatal] /card/shot.####.dpx: Input/output error',
  );
  expect(where).toBe('/card/shot.####.dpx');
});
