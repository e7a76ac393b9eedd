import { describe, expect, it } from 'vitest';
import { formatText, SoundLog } from '../../../../workers/measure/reading/sound-log.js';

/** As ffmpeg 5.1 prints the line, and as ffmpeg 7 and newer do: without `pos`. */
function line(id: string, pts: string, format: string, pos = ' pos:564'): string {
  return `[ashowinfo@${id} @ 0x55b45716a580] [info] n:0 pts:7 pts_time:${pts}${pos} ${format} nb_samples:1 checksum:134F0416 plane_checksums: [ 05B3021E ]`;
}
const STEREO = 'fmt:fltp channels:2 chlayout:stereo rate:48000';

describe('SoundLog', () => {
  it('reads the format and the start of each stream by itself', () => {
    const log = new SoundLog('gate1');
    expect(log.read(line('gate1s0', '0', STEREO))).toBe(true);
    expect(log.read(line('gate1s1', '0.5', 'fmt:s16 channels:6 chlayout:5.1(side) rate:44100', ''))).toBe(
      true,
    );
    expect([log.startSeconds(0), log.startSeconds(1), log.startSeconds(2)]).toEqual([0, 0.5, null]);
    expect(log.first(1)).toEqual({
      sampleFormat: 's16',
      channels: 6,
      layout: '5.1(side)',
      sampleRate: 44_100,
    });
    expect(log.changes(0)).toEqual([]);
  });
  it.each([
    ['rate', 'fmt:fltp channels:2 chlayout:stereo rate:44100'],
    ['channels', 'fmt:fltp channels:1 chlayout:mono rate:48000'],
    ['layout', 'fmt:fltp channels:2 chlayout:2 channels (FL+FC) rate:48000'],
    ['sample format', 'fmt:s16p channels:2 chlayout:stereo rate:48000'],
  ])('a change of %s', (_, format) => {
    const log = new SoundLog('gate1');
    log.read(line('gate1s0', '0', STEREO));
    log.read(line('gate1s0', '2.02667', STEREO));
    expect(log.changes(0)).toEqual([]);
    log.read(line('gate1s0', '4.5', format));
    const [change] = log.changes(0);
    expect(log.changes(0)).toHaveLength(1);
    expect(change?.seconds).toBe(4.5);
    expect(change && formatText(change.before)).toBe('48000 Hz, stereo, fltp');
    expect(change && formatText(change.after)).not.toBe('48000 Hz, stereo, fltp');
  });
  it('without a time stamp knows no start', () => {
    const log = new SoundLog('gate1');
    log.read(line('gate1s0', 'NOPTS', STEREO));
    expect(log.startSeconds(0)).toBeNull();
    expect(log.first(0)?.sampleRate).toBe(48_000);
  });
  it.each([
    ['another filter', line('gate2s0', '0', STEREO)],
    [
      'a title that looks like one',
      '    title : [ashowinfo@gate1s0 ] n:0 pts:0 pts_time:0 fmt:s16 channels:1',
    ],
    ['anything else', '[info] Stream #0:0'],
  ])('leaves alone: %s', (_, text) => {
    const log = new SoundLog('gate1');
    expect(log.read(text)).toBe(false);
    expect(log.first(0)).toBeNull();
  });
});
