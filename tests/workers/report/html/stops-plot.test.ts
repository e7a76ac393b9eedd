import { expect, it } from 'vitest';
import { stopsPlot } from '../../../../workers/report/html/plots/stops-plot.js';
import { measuredOf } from './html-batch.js';

/** Percent of narrow range of a 10-bit code (BT.709-6, 3.3: 64 to 940). */
const percentOf = (code: number): number => ((code - 64) / 876) * 100;

const CURVE = {
  framesPerPoint: 1,
  // S-Log3's published table: 0 % is code 95, 18 % grey 420, 90 % white 598, of 1023.
  levelMin: [percentOf(95), null],
  levelMax: [percentOf(420), percentOf(598)],
  gamutArea: [null, null],
  light: null,
};

const EXPOSURE = {
  transfer: 'S-Log3' as const,
  medianStops: -1,
  percentileStops: { p1: -3, p10: -2, p90: 0, p99: 2 },
  clippedArea: 0,
  noiseFloorArea: 0,
  advice: 'Advice.',
};

it('draws levels of camera log as stops from 18 % grey, black at the foot', () => {
  const plot = stopsPlot(
    measuredOf('a.mov', {
      exposure: EXPOSURE,
      curves: { picture: CURVE, sound: [] },
    }),
  );
  const [highest, lowest] = plot?.curves ?? [];
  expect(highest?.points[0]).toBeCloseTo(0, 1);
  // 0.9 of 0.18 is log2(5) stops.
  expect(highest?.points[1]).toBeCloseTo(Math.log2(5), 1);
  expect(lowest?.points).toEqual([plot?.axis.min, null]);
  expect(plot?.limits.map(({ at }) => at)).toEqual([-1]);
});

it('says nothing of a picture that is no camera log', () => {
  expect(stopsPlot(measuredOf('a.mov', { curves: { picture: CURVE, sound: [] } }))).toBeNull();
});
