import { describe, expect, it } from 'vitest';
import { formatRational } from '../../../signal/rational.js';
import { type ProbedStream, probedStream } from '../../../workers/probe/ffprobe-output.js';
import { rateFacts } from '../../../workers/probe/frame-rate.js';

const RATES = [
  [24000, 1001],
  [24, 1],
  [25, 1],
  [30000, 1001],
  [30, 1],
  [50, 1],
  [60000, 1001],
  [120, 1],
] as const;
/** Clocks of containers: MOV at the rate's own numerator, MPEG-TS, Matroska, and MXF edit units. */
const CLOCKS = ['own', 90_000, 1000, 'frames'] as const;

function stream(nominal: string, average: string, timeBase: string): ProbedStream {
  return probedStream.parse({
    index: 0,
    r_frame_rate: nominal,
    avg_frame_rate: average,
    time_base: timeBase,
  });
}
/** Time stamps as a muxer rounds them. */
function stamps(
  num: number,
  den: number,
  ticksNum: number,
  ticksDen: number,
  count = 100,
  start = 0,
): number[] {
  return Array.from({ length: count }, (_, i) =>
    Math.round((start + (i * den) / num) * (ticksDen / ticksNum)),
  );
}

describe('a constant rate', () => {
  const cases = RATES.flatMap(([num, den]) =>
    CLOCKS.map((clock) => {
      const [tickNum, tickDen] = clock === 'own' ? [1, num] : clock === 'frames' ? [den, num] : [1, clock];
      return { rate: `${num}/${den}`, num, den, tickNum, tickDen };
    }),
  );

  it.each(cases)('$rate at a clock of $tickNum/$tickDen s', ({ rate, num, den, tickNum, tickDen }) => {
    for (const startFrame of [0, 17, 86_400]) {
      const start = (startFrame * den) / num;
      const times = stamps(num, den, tickNum, tickDen, 100, start);
      const found = rateFacts(stream(rate, rate, `${tickNum}/${tickDen}`), times, true);
      expect({ ...found, rate: found.rate && formatRational(found.rate) }).toEqual({ rate, constant: true });
    }
  });

  it('is found in stamps that come in coding order', () => {
    const times = stamps(25, 1, 1, 12800);
    const coded = times.map(
      (_, i) => times[i % 3 === 0 ? i : i % 3 === 1 ? Math.min(i + 1, 99) : i - 1] ?? 0,
    );
    expect(rateFacts(stream('25/1', '25/1', '1/12800'), coded, false).constant).toBe(true);
  });

  it('is the frame rate where the nominal one is that of the fields', () => {
    const found = rateFacts(stream('50/1', '25/1', '1/90000'), stamps(25, 1, 1, 90000), true);
    expect(found).toEqual({ rate: { num: 25, den: 1 }, constant: true });
  });

  it('tells 24 from 24000/1001, though the container names the other', () => {
    const found = rateFacts(stream('24/1', '24/1', '1/24000'), stamps(24000, 1001, 1, 24000), true);
    expect(found.rate).toEqual({ num: 24000, den: 1001 });
    expect(found.constant).toBe(false);
  });
});

describe('a rate that is not constant', () => {
  it.each([
    ['a frame is missing', (times: number[]) => times.filter((_, i) => i !== 40)],
    ['a frame comes early', (times: number[]) => times.map((time, i) => (i === 40 ? time - 100 : time))],
    [
      'the second half is slower',
      (times: number[]) => times.map((time, i) => (i > 50 ? time + (i - 50) * 512 : time)),
    ],
  ])('%s', (_, change) => {
    const times = change(stamps(25, 1, 1, 12800));
    expect(rateFacts(stream('25/1', '25/1', '1/12800'), times, true).constant).toBe(false);
  });

  it('is the nominal one where frames keep it but for a gap, whatever the average of the container is', () => {
    const times = stamps(30000, 1001, 1, 90000, 48).map((time, i) => (i >= 10 ? time + 150 : time));
    // 48 frames in the 1.568 s that an edit list leaves.
    expect(rateFacts(stream('30000/1001', '1440000/47051', '1/90000'), times, true)).toEqual({
      rate: { num: 30000, den: 1001 },
      constant: false,
    });
    const fields = rateFacts(
      stream('50/1', '2600/101', '1/12800'),
      stamps(25, 1, 1, 12800)
        .slice(0, 99)
        .map((t, i) => t + (i === 5 ? 9 : 0)),
      true,
    );
    expect(fields.rate).toEqual({ num: 25, den: 1 });
  });

  it('is the average where frames keep no nominal one', () => {
    const times = stamps(60, 1, 1, 90000).filter((_, i) => i % 3 === 0 || i % 7 === 0);
    expect(rateFacts(stream('60/1', '2571/100', '1/90000'), times, true).rate).toEqual({
      num: 2571,
      den: 100,
    });
  });

  it('beyond the packets looked at, by the average', () => {
    expect(rateFacts(stream('25/1', '24900/1001', '1/12800'), stamps(25, 1, 1, 12800), false).constant).toBe(
      false,
    );
  });
});

describe('what cannot be known', () => {
  it.each([
    ['one frame', [0]],
    ['no time stamps', []],
  ])('%s: null', (_, times) => {
    expect(rateFacts(stream('25/1', '25/1', '1/12800'), times, true)).toEqual({
      rate: { num: 25, den: 1 },
      constant: null,
    });
  });

  it.each([
    ['one frame, of a second', '1/1', { num: 1, den: 1 }],
    ['one frame that does not say how long it lasts', '0/0', null],
  ])('%s: the tick of the clock is not taken for a rate', (_, average, rate) => {
    expect(rateFacts(stream('1000/1', average, '1/1000'), [0], true)).toEqual({ rate, constant: null });
  });

  it('the rate of frames that follow no rate and have no average', () => {
    expect(rateFacts(stream('1000/1', '0/0', '1/1000'), [0, 40, 95, 120], true)).toEqual({
      rate: null,
      constant: false,
    });
  });

  it('no rate and no stamps', () => {
    expect(rateFacts(stream('0/0', '0/0', '1/1000'), [], true)).toEqual({ rate: null, constant: null });
  });
});
