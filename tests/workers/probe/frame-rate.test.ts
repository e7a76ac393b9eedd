import { describe, expect, it } from 'vitest';
import { formatRational, parseRational, rational } from '../../../signal/rational.js';
import { rateOf, statedRates, steadyRate } from '../../../workers/probe/frame-rate.js';

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

/** By the rates ffprobe gives (its grid, its average), the unit of the stamps and the stamps. */
function found(nominal: string, average: string, timeBase: string, ticks: readonly number[]) {
  const stated = statedRates({ r_frame_rate: nominal, avg_frame_rate: average });
  const { rate, constant } = rateOf({ ticks, timeBase: parseRational(timeBase) ?? rational(1) }, stated);
  return { rate: rate && formatRational(rate), constant };
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
      const clock = `${tickNum}/${tickDen}`;
      expect(found(rate, rate, clock, times)).toEqual({ rate, constant: true });
      // The average is that of a file whose last frame stays, or of one with hidden frames.
      expect(found(rate, '51600/1841', clock, times)).toEqual({ rate, constant: true });
    }
  });

  it('is the frame rate where the nominal one is that of the fields', () => {
    expect(found('50/1', '25/1', '1/90000', stamps(25, 1, 1, 90000))).toEqual({
      rate: '25/1',
      constant: true,
    });
  });

  it('tells 24 from 24000/1001, though the container names the other', () => {
    expect(found('24/1', '24/1', '1/24000', stamps(24000, 1001, 1, 24000))).toEqual({
      rate: '24000/1001',
      constant: true,
    });
  });

  it.each(['30/1', '30000/1001', '25/1', '24/1', '60/1'])(
    'of %s is kept by a phone that stamps 0.2 per cent off and back',
    (rate) => {
      const { num, den } = parseRational(rate) ?? rational(1);
      const step = (90_000 * den) / num;
      // Off by up to 0.2 % of a frame, never the same way for long.
      const times = stamps(num, den, 1, 90_000, 600).map(
        (time, i) => time + Math.round(step * 0.002 * Math.sin(i * i)),
      );
      expect(found('90000/1', `${599 * 90_000}/${times[599] ?? 0}`, '1/90000', times)).toEqual({
        rate,
        constant: true,
      });
    },
  );
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
    expect(found('25/1', '25/1', '1/12800', times)).toEqual({ rate: '25/1', constant: false });
  });

  it('is that of most frames where an edit list leaves a gap, whatever the average of the container is', () => {
    const times = stamps(30000, 1001, 1, 90000, 48).map((time, i) => (i >= 10 ? time + 1500 : time));
    // 48 frames in the 1.568 s that the edit list leaves.
    expect(found('30000/1001', '1440000/47051', '1/90000', times)).toEqual({
      rate: '30000/1001',
      constant: false,
    });
  });

  it('drifts, though each frame is hardly longer than the next', () => {
    // 29.9 frames a second, stated as 30: after half a minute the frames are three places off.
    const times = Array.from({ length: 900 }, (_, i) => Math.round((i * 90_000) / 29.9));
    expect(found('30/1', '30/1', '1/90000', times)).toMatchObject({ constant: false });
  });

  it('is the mean where no length of frames prevails', () => {
    const times = [0, 40, 95, 120, 230, 250, 340, 420, 497];
    const { rate, constant } = found('1000/1', '0/0', '1/1000', times);
    expect(constant).toBe(false);
    expect(Number(rate?.split('/')[0]) / Number(rate?.split('/')[1])).toBeCloseTo(8 / 0.497, 2);
  });
});

describe('an even rate for frames of uneven duration', () => {
  const steady = (ticks: readonly number[], usual: string, origin = 0) => {
    const way = steadyRate(
      { ticks, timeBase: rational(1, 1000) },
      parseRational(usual) ?? rational(1),
      origin,
    );
    return way && `${formatRational(way.rate)} ${way.round} ${way.places}`;
  };

  it.each([
    ['a frame is missing', [0, 40, 80, 160, 200], '25/1 near 6'],
    // The second part begins 0.4 of a frame early: rounded to the nearest place it would take that of the
    // frame before.
    ['a cut is off the grid', [0, 40, 80, 96, 136, 176], '25/1 up 6'],
    ['a cut is off the grid the other way', [0, 40, 80, 144, 184], '25/1 near 6'],
    ['some frames are half as long', [0, 40, 60, 80, 120], '48/1 near 7'],
    ['two frames come at once', [0, 40, 40, 80], null],
  ])('%s', (_, ticks, expected) => {
    expect(steady(ticks, '25/1')).toBe(expected);
  });

  it('counts from where the file begins', () => {
    // 0.4, 1.4, 1.8 and 2.8 places from zero; 0, 1, 1.4 and 2.4 from the first frame.
    expect(steady([16, 56, 72, 112], '25/1')).toBe('25/1 near 4');
    expect(steady([16, 56, 72, 112], '25/1', 16)).toBe('25/1 up 4');
  });
});

describe('what cannot be known', () => {
  it('one frame keeps the rate that is stated; without stamps nothing is known', () => {
    expect(found('25/1', '25/1', '1/12800', [0])).toEqual({ rate: '25/1', constant: true });
    expect(found('25/1', '25/1', '1/12800', [])).toEqual({ rate: '25/1', constant: null });
    expect(found('0/0', '0/0', '1/1000', [])).toEqual({ rate: null, constant: null });
  });

  it.each([
    ['one frame, of a second', '1/1', '1/1'],
    ['one frame that does not say how long it lasts', '0/0', null],
  ])('%s: the tick of the clock is not taken for a rate', (_, average, rate) => {
    expect(found('1000/1', average, '1/1000', [0]).rate).toBe(rate);
  });
});
