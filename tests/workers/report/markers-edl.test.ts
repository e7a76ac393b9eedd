import { describe, expect, it } from 'vitest';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import type { Finding, Verdict } from '../../../jobs/verdict/verdict.js';
import { formatMarkers } from '../../../workers/report/markers-edl.js';
import { type Change, measured, noVideo, there, video } from '../judge/measured.js';
import { HOT, PASS } from './html/html-batch.js';

const place = (from: number, to: number) => ({ from, to, fromTimecode: null, toTimecode: null });
const at = (...ranges: [number, number][]): Finding => ({ ...HOT, at: ranges.map(([a, b]) => place(a, b)) });
const verdict = (...findings: Finding[]): Verdict => ({
  schema: 'goodgate/verdict@1',
  file: '/m/master.mov',
  target: 'hd-sdr-master',
  verdict: 'fail',
  findings,
});
const clock =
  (startTimecode: string | null, frameRate: string | null): Change =>
  (m) => {
    m.container.startTimecode = startTimecode;
    there(m.video, 'picture').frameRate = frameRate;
  };

/**
 * The columns of an event line of the form, from memory: number, reel, track, cut, source in and out, record
 * in and out.
 */
const EVENT =
  /^(\d{3}) {2}([A-Z0-9 ]{8}) (V) {5}(C) {8}(\d\d:\d\d:\d\d[:;]\d\d) (\d\d:\d\d:\d\d[:;]\d\d) (\d\d:\d\d:\d\d[:;]\d\d) (\d\d:\d\d:\d\d[:;]\d\d)$/;

function linesOf(verdicts: readonly Verdict[], measurement: Measurement): string[] {
  const { text } = formatMarkers(verdicts, measurement);
  if (text === null) throw new Error('no list');
  expect(text.endsWith('\r\n')).toBe(true);
  return text.split('\r\n').slice(0, -1);
}
function eventsOf(lines: readonly string[]): string[][] {
  return lines.flatMap((line) => {
    const match = EVENT.exec(line);
    return match === null ? [] : [match.slice(1)];
  });
}

describe('formatMarkers', () => {
  // Counted by hand: 25 labels a second from 10:00:00:00; drop frame (ST 12-1) leaves out ;00 and ;01 of
  // minute 1, so that frame 1799 is 10:00:59;29 and frame 1800 is 10:01:00;02.
  it.each<[string, readonly Change[], [number, number], string, string, string]>([
    ['25', [], [26, 27], 'NON-DROP FRAME', '10:00:01:01', '10:00:01:02'],
    [
      '29.97 non-drop',
      [clock('10:00:00:00', '30000/1001')],
      [1800, 1801],
      'NON-DROP FRAME',
      '10:01:00:00',
      '10:01:00:01',
    ],
    [
      '29.97 drop',
      [clock('10:00:00;00', '30000/1001')],
      [1799, 1800],
      'DROP FRAME',
      '10:00:59;29',
      '10:01:00;02',
    ],
    [
      '59.94 drop',
      [clock('00:00:00;00', '60000/1001')],
      [3600, 3602],
      'DROP FRAME',
      '00:01:00;04',
      '00:01:00;06',
    ],
    ['50', [clock('10:00:00:00', '50/1')], [49, 50], 'NON-DROP FRAME', '10:00:00:49', '10:00:01:00'],
    ['past midnight', [clock('23:59:59:24', '25/1')], [0, 2], 'NON-DROP FRAME', '23:59:59:24', '00:00:00:01'],
    ['no timecode', [clock(null, '25/1')], [25, 50], 'NON-DROP FRAME', '00:00:01:00', '00:00:02:00'],
    [
      'a timecode that is none',
      [clock('10:00:00:99', '25/1')],
      [0, 1],
      'NON-DROP FRAME',
      '00:00:00:00',
      '00:00:00:01',
    ],
  ])('at %s', (_, changes, range, mode, from, to) => {
    const lines = linesOf([verdict(at(range))], measured(...changes));
    expect(lines[0]).toBe('TITLE: master.mov');
    expect(lines[1]).toBe(`FCM: ${mode}`);
    expect(eventsOf(lines)).toEqual([['001', 'MASTER  ', 'V', 'C', from, to, from, to]]);
  });

  it('says where it counts from when the file does not', () => {
    expect(linesOf([verdict(at([0, 1]))], measured(clock(null, '25/1')))).toContain(
      '* the file has no timecode: frames are counted from 00:00:00:00',
    );
  });

  it('orders places by time over all targets, and says at each what is there', () => {
    const waived: Finding = { ...at([5, 6]), waiver: { by: 'R. Ibarra', why: 'Neon.', until: '2026-12-31' } };
    const second = {
      ...verdict({ ...at([2, 3]), requirement: 'black', outcome: 'warn', everyPlace: false }),
      target: 'other',
    };
    const lines = linesOf([verdict(PASS, waived, at([9, 10], [0, 4])), second], measured());
    expect(eventsOf(lines).map(([number, , , , from]) => [number, from])).toEqual([
      ['001', '10:00:00:00'],
      ['002', '10:00:00:02'],
      ['003', '10:00:00:05'],
      ['004', '10:00:00:09'],
    ]);
    const text = lines.join('\n');
    expect(text).toContain('* FROM CLIP NAME: master.mov');
    expect(text).toContain('* WARN black (other): 38.2 % in frame 17');
    expect(text).toContain('* not every place is known');
    expect(text).toContain('* WAIVED FAIL signal-range (hd-sdr-master): 38.2 % in frame 17');
    expect(text).toContain('* waived by R. Ibarra until 2026-12-31: Neon.');
  });

  it('lists what has no place before the events', () => {
    const lines = linesOf([verdict({ ...at(), requirement: 'loudness' }, at([0, 1]))], measured());
    const [noPlace, first] = [
      lines.findIndex((l) => l.startsWith('* FAIL loudness, no single place')),
      lines.findIndex((l) => EVENT.test(l)),
    ];
    expect(noPlace).toBeGreaterThan(0);
    expect(noPlace).toBeLessThan(first);
  });

  it('takes the reel of the file, in eight letters and digits', () => {
    const reel =
      (name: string): Change =>
      (m) =>
        void Object.assign(m.container, { reel: name });
    const [event] = eventsOf(linesOf([verdict(at([0, 1]))], measured(reel('a001_c004-0925é'))));
    expect(event?.[1]).toBe('A001C004');
    const path =
      (name: string): Change =>
      (m) =>
        void Object.assign(m.file, { path: name });
    const [other] = eventsOf(linesOf([verdict(at([0, 1]))], measured(path('/m/映画.mov'))));
    expect(other?.[1]).toBe('AX      ');
  });

  it('keeps the worst 999 of more places, in order, and says so', () => {
    const warn: Finding = {
      ...at(...Array.from({ length: 990 }, (_, i): [number, number] => [2 * i, 2 * i + 1])),
      outcome: 'warn',
    };
    const fail = at(...Array.from({ length: 20 }, (_, i): [number, number] => [3000 + 2 * i, 3001 + 2 * i]));
    const lines = linesOf([verdict(warn, fail)], measured(video((v) => Object.assign(v, { frames: 4000 }))));
    const events = eventsOf(lines);
    expect(events).toHaveLength(999);
    expect(events.at(-1)?.[0]).toBe('999');
    // Frame 3038, the last of those that fail: 121 s and 13 frames.
    expect(events.at(-1)?.[4]).toBe('10:02:01:13');
    expect(lines.join('\n')).toContain('* 11 more places are in findings.csv');
  });

  it('cannot be broken out of by a name', () => {
    const hostile =
      'x\r\n001  AX       V     C        00:00:00:00 00:00:00:01 00:00:00:00 00:00:00:01\u001b[31m.mov';
    const finding: Finding = {
      ...at([0, 1]),
      measured: hostile,
      advice: hostile,
      waiver: { by: hostile, why: hostile, until: '2026-12-31' },
    };
    const lines = linesOf(
      [{ ...verdict(finding), target: hostile }],
      measured((m) => void Object.assign(m.file, { path: `/m/${hostile}` })),
    );
    expect(eventsOf(lines)).toHaveLength(1);
    for (const line of lines) {
      expect(line).toMatch(/^[ -~]*$/);
      expect(line.length).toBeLessThanOrEqual(80);
      if (!EVENT.test(line)) expect(line).toMatch(/^(TITLE: |FCM: |\* |$)/);
    }
  });

  it.each<[string, readonly Change[], string]>([
    ['without a picture', [noVideo], 'no picture'],
    ['without a rate', [clock('10:00:00:00', null)], 'no picture with a frame rate'],
    ['at a rate without timecode', [clock(null, '15/2')], '15/2'],
    ['at a rate of three digits', [clock('10:00:00:00', '120/1')], '120/1'],
  ])('%s there is no list, and a reason', (_, changes, reason) => {
    expect(formatMarkers([verdict(at([0, 1]))], measured(...changes))).toEqual({
      text: null,
      places: 1,
      reason: expect.stringContaining(reason),
    });
  });
});
