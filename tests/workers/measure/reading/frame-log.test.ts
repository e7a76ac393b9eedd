import { describe, expect, it } from 'vitest';
import { FrameLog } from '../../../../workers/measure/reading/frame-log.js';

/** Lines of ffmpeg 5.1.9, and the form ffmpeg 6 and newer print (from memory). */
const PREFIX = '[showinfo@gate1 @ 0x557077d5b0c0] [info] ';
const V5 =
  'n:   0 pts:   1001 pts_time:0.0333667 pos:       44 fmt:yuv420p10le sar:1/1 s:128x72 i:P iskey:1 type:I ';
const V6 =
  'n:   1 pts:   2002 pts_time:0.0667333 duration:   1001 duration_time:0.0333667 fmt:yuv420p10le cl:left sar:1/1 s:128x72 i:T iskey:0 type:B ';

describe('the frame log', () => {
  it('reads frames, time base, and HDR metadata', () => {
    const log = new FrameLog('gate1');
    const lines = [
      'config in time_base: 1/30000, frame_rate: 30000/1001',
      'config out time_base: 0/0, frame_rate: 0/0',
      V5,
      '  side data - mastering display: has_primaries:1 has_luminance:1 r(0.6800,0.3200) g(0.2650,0.6900) b(0.1500 0.0600) wp(0.3127, 0.3290) min_luminance=0.005000, max_luminance=1000.000000',
      '  side data - Content Light Level information: MaxCLL=1000, MaxFALL=400',
      V6,
    ];
    for (const line of lines) expect(log.read(PREFIX + line)).toBe(true);
    expect(log.frames).toBe(2);
    expect(log.interlacedFrames).toBe(1);
    expect([...(log.timestamps?.ticks ?? [])]).toEqual([1001, 2002]);
    expect(log.timestamps?.timeBase).toEqual({ num: 1, den: 30000 });
    expect(log.first).toEqual({ pixelFormat: 'yuv420p10le', width: 128, height: 72 });
    expect(log.changes).toEqual([]);
    expect(log.hdr.lightLevel).toEqual({ maxCll: 1000, maxFall: 400 });
    expect(log.hdr.mastering).toEqual({
      red: [0.68, 0.32],
      green: [0.265, 0.69],
      blue: [0.15, 0.06],
      white: [0.3127, 0.329],
      minLuminance: 0.005,
      maxLuminance: 1000,
    });
  });

  it('tells where the format changes', () => {
    const seen: number[] = [];
    const log = new FrameLog('gate1', (frame) => seen.push(frame));
    log.read(PREFIX + V5);
    log.read(PREFIX + V5.replace('128x72', '64x36'));
    log.read(PREFIX + V5.replace('128x72', '64x36').replace('yuv420p10le', 'yuv420p'));
    expect(seen).toEqual([0, 1, 2]);
    expect(log.changes.map(({ frame }) => frame)).toEqual([1, 2]);
    expect(log.first?.width).toBe(128);
  });

  it.each([
    ['a line of another filter', `[showinfo@other @ 0x1] [info] ${V5}`],
    ['metadata that imitates the filter', `[info]     title           : x\n${V5}`],
    ['the imitation on a line of its own', V5],
    ['a demuxer', '[mov,mp4,m4a,3gp,3g2,mj2 @ 0x56] [error] stream 1, offset 0xbd28: partial file'],
  ])('leaves alone %s', (_, line) => {
    const log = new FrameLog('gate1');
    expect(log.read(line)).toBe(false);
    expect(log.frames).toBe(0);
  });

  it('has no time stamps when one is missing', () => {
    const log = new FrameLog('gate1');
    log.read(`${PREFIX}config in time_base: 1/25, frame_rate: 25/1`);
    log.read(PREFIX + V5);
    log.read(PREFIX + V5.replace('pts:   1001', 'pts: NOPTS'));
    expect(log.frames).toBe(2);
    expect(log.timestamps).toBeNull();
  });
});
