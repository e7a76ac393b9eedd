import { execa } from 'execa';
import { describe, expect, it } from 'vitest';
import { evenedFrames, turned } from '../../../workers/compare/order/seen-frames.js';
import { SIGNATURE_VALUES } from '../../../workers/measure/picture/signature/packed-signature.js';

const FRAMES = 24;
/** Times in milliseconds: late, early, two within one frame time, a gap. */
const TIMES = {
  'a phone': (frame: number): number => frame * 40 + ((frame * 7) % 5) * 11,
  'a gap': (frame: number): number => frame * 40 + (frame > 9 ? 130 : 0),
  'too fast': (frame: number): number => frame * 29,
} as const;
const EXPRESSIONS: Record<keyof typeof TIMES, string> = {
  'a phone': 'N*40+mod(N*7\\,5)*11',
  'a gap': 'N*40+if(gt(N\\,9)\\,130\\,0)',
  'too fast': 'N*29',
};

/** Outside truth: which frames ffmpeg's filter shows, each known by its level. */
describe('frames of an evened copy are those that ffmpeg shows', () => {
  const rows = (Object.keys(TIMES) as (keyof typeof TIMES)[]).flatMap((what) =>
    (['near', 'up', 'down'] as const).map((round) => ({ what, round })),
  );
  it.each(rows)('$what, rounded $round', async ({ what, round }) => {
    const chain = `settb=1/1000,setpts=${EXPRESSIONS[what]},fps=fps=25:round=${round}`;
    const { stdout } = await execa(
      'ffmpeg',
      [
        ...['-hide_banner', '-nostdin', '-loglevel', 'error', '-f', 'lavfi', '-i'],
        `color=black:s=16x16:r=25,format=gray,geq=lum=N*10,trim=end_frame=${FRAMES},${chain}`,
        ...['-fps_mode', 'passthrough', '-c:v', 'rawvideo', '-pix_fmt', 'gray', '-f', 'rawvideo', '-'],
      ],
      { encoding: 'buffer', stdin: 'ignore' },
    );
    const shown = Array.from({ length: stdout.length / 256 }, (_, frame) => (stdout[frame * 256] ?? 0) / 10);
    const ticks = Float64Array.from({ length: FRAMES }, (_, frame) => TIMES[what](frame));
    const stamps = { ticks, timeBase: { num: 1, den: 1000 } };
    const expected = evenedFrames(stamps, { num: 25, den: 1 }, round, shown.length);
    expect([...expected]).toEqual(shown);
  });
});

/**
 * Fields are turned as pixels are: a quarter turn four times is none, and moves the first corner
 * clockwise.
 */
describe('a signature that is turned', () => {
  const frame = Float64Array.from({ length: SIGNATURE_VALUES }, (_, i) => i);
  const upright = {
    frames: 1,
    values: SIGNATURE_VALUES,
    read: (_: number, into: Float64Array) => into.set(frame),
  };
  const read = (signatures: typeof upright): number[] => {
    const into = new Float64Array(SIGNATURE_VALUES);
    signatures.read(0, into);
    return [...into];
  };

  it('moves the top left to the top right by a quarter clockwise, in every plane', () => {
    const values = read(turned(upright, 90));
    expect([values[7], values[63], values[56], values[0]]).toEqual([0, 7, 63, 56]);
    expect([values[64 + 3], values[64 + 15], values[64]]).toEqual([64, 64 + 3, 64 + 12]);
    expect([values[80 + 3], values[80]]).toEqual([80, 80 + 12]);
  });

  it.each([
    [90, 4],
    [270, 4],
    [180, 2],
  ] as const)('by %i degrees, %i times, is as it was', (degrees, times) => {
    let signatures = upright as Parameters<typeof turned>[0];
    for (let i = 0; i < times; i++) signatures = turned(signatures, degrees);
    const into = new Float64Array(SIGNATURE_VALUES);
    signatures.read(0, into);
    expect(into).toEqual(frame);
  });
});
