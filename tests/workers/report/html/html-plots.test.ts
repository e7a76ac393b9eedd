import { describe, expect, it } from 'vitest';
import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import { requirementSet } from '../../../../jobs/requirements/requirement.js';
import { histogramScales } from '../../../../workers/report/html/plots/histogram-scale.js';
import { renderHistograms, stepsOf } from '../../../../workers/report/html/plots/histograms.js';
import { renderOverTime } from '../../../../workers/report/html/plots/plots-over-time.js';
import { thin } from '../../../../workers/report/html/plots/thin.js';
import { timeAxisOf } from '../../../../workers/report/html/plots/time-axis.js';
import { placed } from '../../../../workers/report/html/plots/time-plot.js';
import { hdrMaster, sdrVideo } from '../long-programme.js';
import { measuredOf } from './html-batch.js';

function axisOf(rate: string | null, startTimecode: string | null, frames: number) {
  const axis = timeAxisOf(
    measuredOf('m', {
      video: { ...sdrVideo(), frameRate: rate, frames },
      container: {
        format: 'mov',
        durationSeconds: null,
        startTimecode,
        reel: null,
        slate: null,
        chapters: 0,
        tags: {},
      },
    }),
  );
  if (axis === null) throw new Error('there is a picture');
  return axis;
}

const EXPOSURE: NonNullable<Measurement['exposure']> = {
  transfer: 'S-Log3',
  medianStops: 0,
  percentileStops: { p1: -5, p10: -3, p90: 2, p99: 3 },
  clippedArea: 0,
  noiseFloorArea: 0,
  advice: '',
};

describe('the time axis', () => {
  // Frame numbers computed by hand after SMPTE ST 12-1: labels of a second = nominal rate, drop frame skips
  // two labels a minute but every tenth.
  it.each([
    {
      rate: '25/1',
      start: '10:00:00:00',
      frames: 250,
      most: 6,
      says: ['0 10:00:00:00', '50 10:00:02:00', '100 10:00:04:00', '150 10:00:06:00', '200 10:00:08:00'],
    },
    {
      rate: '25/1',
      start: '09:59:58:20',
      frames: 130,
      most: 6,
      says: ['5 09:59:59:00', '30 10:00:00:00', '55 10:00:01:00', '80 10:00:02:00', '105 10:00:03:00'],
    },
    // The first minute has all its 1800 labels, the second begins with ;02 and has 1798.
    {
      rate: '30000/1001',
      start: '00:00:00;00',
      frames: 3600,
      most: 3,
      says: ['0 00:00:00;00', '1800 00:01:00;02', '3598 00:02:00;02'],
    },
    {
      rate: '24000/1001',
      start: '23:59:59:00',
      frames: 72,
      most: 4,
      says: ['0 23:59:59:00', '24 00:00:00:00', '48 00:00:01:00'],
    },
    // Too short for whole seconds: by frames.
    {
      rate: '25/1',
      start: '01:00:00:00',
      frames: 10,
      most: 5,
      says: ['0 01:00:00:00', '2 01:00:00:02', '4 01:00:00:04', '6 01:00:00:06', '8 01:00:00:08'],
    },
    {
      rate: '25/1',
      start: null,
      frames: 90,
      most: 5,
      says: ['0 frame 0', '20 frame 20', '40 frame 40', '60 frame 60', '80 frame 80'],
    },
    {
      rate: null,
      start: '10:00:00:00',
      frames: 4,
      most: 4,
      says: ['0 frame 0', '1 frame 1', '2 frame 2', '3 frame 3'],
    },
  ])('marks $frames frames from $start at $rate at $says', ({ rate, start, frames, most, says }) => {
    expect(
      axisOf(rate, start, frames)
        .ticks(most)
        .map(({ at, label }) => `${at} ${label}`),
    ).toEqual(says);
  });

  it('names a place by timecode and frame, or by frame alone', () => {
    expect(axisOf('25/1', '10:00:00:00', 250).placeOf(87)).toBe('10:00:03:12 (frame 87)');
    expect(axisOf('25/1', null, 250).placeOf(87)).toBe('frame 87');
  });

  it('runs in seconds where there is only sound, and is none where there is nothing', () => {
    const sound = measuredOf('s', { video: null });
    const [stream] = sound.audio;
    if (stream === undefined) throw new Error('the fixture has sound');
    const axis = timeAxisOf({ ...sound, audio: [{ ...stream, durationSeconds: 3700 }] });
    expect(axis?.ticks(3).map(({ label }) => label)).toEqual(['0:00:00', '0:30:00', '1:00:00']);
    expect(timeAxisOf(measuredOf('n', { video: null, audio: [] }))).toBeNull();
  });
});

describe('thinning', () => {
  it('loses no single bad frame, and no gap of its own length', () => {
    const curve = Array.from({ length: 2000 }, (_, index) => (index === 777 ? 4000 : 100));
    expect(thin(curve, 250, 'highest').points.filter((value) => value === 4000)).toHaveLength(1);
    expect(
      thin(
        curve.map((v) => -(v ?? 0)),
        250,
        'lowest',
      ).points,
    ).toContain(-4000);
    expect(thin([1, 3, null, null, 5, null], 3, 'mean').points).toEqual([2, null, 5]);
    expect(thin([1, null, 3], 3, 'mean')).toEqual({ points: [1, null, 3], each: 1 });
  });

  it('draws a point that stands alone between gaps as wide as what it stands for', () => {
    expect(placed([null, 7, null, 8], 10, 35)).toEqual([
      [0, null],
      [10, 7],
      [20, 7],
      [20, null],
      [30, 8],
      [35, 8],
    ]);
  });
});

/** Heights of drawn points: a path of `M` and `L` pairs, in pixels from the top. */
function heights(svg: string, stroke: string): number[] {
  const path = new RegExp(
    `<path d="([^"]*)"[^>]*stroke="${stroke.replace(/[()]/g, '\\$&')}" stroke-width="2.5"`,
  ).exec(svg);
  return [...(path?.[1] ?? '').matchAll(/[ML]?(-?[\d.]+) (-?[\d.]+)/g)].map((match) => Number(match[2]));
}

describe('the plots over time', () => {
  it('put light on a log scale with the limit of the target where it belongs', () => {
    const { measurement, asked } = hdrMaster(200);
    const markup = renderOverTime(measurement, asked, [])?.markup ?? '';
    expect(markup).toContain('limit 1000\u00a0cd/m² (house-pq)');
    expect(markup).toContain('declared mastering peak 4000\u00a0cd/m²');
    expect(markup).toContain(
      'Ringed: the brightest pixel of the file, 1600\u00a0cd/m² at 10:00:04:00 (frame 100)',
    );
    // Nothing is dimmer than 10 cd/m2, so that the scale begins with 1: the plot is 14 to 184 px high for
    // four decades.
    const wide = markup.slice(markup.indexOf('class="wide"'), markup.indexOf('class="narrow"'));
    const drawn = heights(wide, 'var(--bar)');
    const y = (nits: number) => 14 + ((4 - Math.log10(nits)) / 4) * 170;
    expect(Math.max(...drawn)).toBeCloseTo(y(100), 0);
    expect(Math.min(...drawn)).toBeCloseTo(y(1600), 0);
  });

  it.each([
    ['black frames are at the foot and do not stretch the scale', [100, 0, 0.004, 20], 1],
    ['dim ones do', [100, 0.4, 20], 0.1],
    ['down to 0.01', [100, 0.013], 0.01],
  ])('%s', (_, average, foot) => {
    const { measurement, asked } = hdrMaster(200);
    const { picture } = measurement.curves;
    if (!picture?.light) throw new Error('the fixture has light');
    const light = {
      ...picture.light,
      average: picture.light.average.map((_, i) => average[i % average.length] ?? 0),
    };
    const dim = { ...measurement, curves: { ...measurement.curves, picture: { ...picture, light } } };
    expect(renderOverTime(dim, asked, [])?.markup).toContain(`under ${foot}\u00a0cd/m² is drawn at the foot`);
  });

  it('draw what the measurement holds and no more', () => {
    const { measurement, asked } = hdrMaster(200);
    const { levels, curves } = measurement;
    const { picture } = curves;
    if (levels === null || picture === null) throw new Error('the fixture has levels');
    const withArea = (gamutArea: (number | null)[], worstFrame: number | null, worstArea: number) => ({
      ...measurement,
      levels: { ...levels, gamutError: { ...levels.gamutError, worstFrame, worstArea } },
      curves: { ...curves, picture: { ...picture, gamutArea } },
    });
    const outside = withArea(
      picture.gamutArea.map((_, frame) => (frame === 7 ? 0.2 : 0)),
      7,
      0.2,
    );
    const unknown = withArea(
      picture.gamutArea.map((_, frame) => (frame === 7 ? null : 0)),
      null,
      0,
    );
    const titles = (measured: Measurement, by = asked) =>
      [...(renderOverTime(measured, by, [])?.markup ?? '').matchAll(/<figcaption><b>([^<]*)/g)].map((match) =>
        match[1]?.replace(/,.*/, ''),
      );
    // Nothing lies outside: a sentence stands in place of a flat line.
    expect(titles(measurement)).toEqual(['Light', 'Loudness']);
    expect(renderOverTime(measurement, asked, [])?.markup).toContain('</b> none in any frame.');
    expect(titles(outside)).toEqual(['Light', 'Area outside EBU R 103', 'Loudness']);
    expect(renderOverTime(outside, asked, [])?.markup).not.toContain('none in any frame');
    // Of a frame that was not measured nobody knows that nothing lies outside.
    expect(renderOverTime(unknown, asked, [])?.markup).not.toContain('none in any frame');
    expect(titles({ ...measurement, curves: { ...measurement.curves, sound: [] } }, [])).toEqual(['Light']);
    expect(titles({ ...measurement, luminance: null }, [])).toEqual(['Levels (Luma)', 'Loudness']);
    expect(renderOverTime(measuredOf('empty'), asked, [])).toBeNull();
  });
});

describe('limits in the plots', () => {
  const { measurement } = hdrMaster(200);
  const markupOf = (...require: Record<string, unknown>[]) =>
    renderOverTime(
      measurement,
      require.map((one, index) => ({ target: `t${index}`, require: requirementSet.parse(one) })),
      [],
    )?.markup ?? '';

  it('are drawn once for all targets that set them, and as forbidden ground only where they hold throughout', () => {
    const part = { max: 1000, regions: [{ from: 10, to: 20 }] };
    const alike = markupOf({ 'peak-luminance': { max: 1000 } }, { 'peak-luminance': part });
    expect(alike).toContain('limit 1000\u00a0cd/m² (t0; t1, in parts)');
    expect(alike).toContain('fill="var(--fail-wash)"');
    expect(markupOf({ 'peak-luminance': part })).not.toContain('fill="var(--fail-wash)"');
  });

  it('are told apart: loudness over the programme, and the highest of any moment', () => {
    const markup = markupOf({
      loudness: { target: -23, tolerance: 0.5 },
      'max-short-term': { max: -18 },
      'max-momentary': { max: -12 },
    });
    expect(markup).toContain('expected −23\u00a0LUFS over the programme (t0)');
    expect(markup).toContain('highest short-term allowed −18\u00a0LUFS (t0)');
    expect(markup).toContain('highest momentary allowed −12\u00a0LUFS (t0)');
  });
});

describe('histograms', () => {
  const pq = hdrMaster(200);
  it('offer the scale that fits the signal first', () => {
    const ids = (measured: Measurement) => histogramScales(measured, []).map(({ id }) => id);
    expect(ids(measuredOf('sdr'))).toEqual(['percent', 'code']);
    expect(ids(pq.measurement)).toEqual(['nits', 'percent', 'code']);
    const log = measuredOf('log', { exposure: EXPOSURE });
    expect(ids(log)).toEqual(['stops', 'percent', 'code']);
    // A curve nobody named gives no exposure, and no stops.
    expect(ids({ ...log, exposure: null })).toEqual(['percent', 'code']);
  });

  // BT.2408-8 Table 1: PQ 58 % is 203 cd/m2 (the half percent the table rounds away is 10 cd/m2); 10-bit
  // narrow code of 0 % is 64, of 100 % 940 (BT.2100-3 Table 9). S-Log3: 18 % grey is code 420 of 1023 (the
  // curve's own published table).
  it.each([
    { scale: 'percent', code: 940, is: 100, within: 1e-9 },
    { scale: 'percent', code: 64, is: 0, within: 1e-9 },
    { scale: 'nits', code: 64 + 0.58 * 876, is: 203, within: 10 },
    { scale: 'nits', code: 940, is: 10_000, within: 1e-6 },
  ])('put code $code at $is on $scale', ({ scale, code, is, within }) => {
    const found = histogramScales(pq.measurement, []).find(({ id }) => id === scale);
    expect(Math.abs((found?.place(code) ?? Number.NaN) - is)).toBeLessThanOrEqual(within);
  });

  it('put 18 % grey of a camera curve at no stops', () => {
    const log = measuredOf('log', { exposure: EXPOSURE });
    const [stops] = histogramScales(log, []);
    expect(stops?.place(420)).toBeCloseTo(0, 2);
  });

  it('lose no sample when neighbouring codes share a step', () => {
    const counts = Array.from({ length: 877 }, (_, index) => index % 5);
    const { edges, codesPerStep } = stepsOf({ firstCode: 64, codesPerBin: 1, counts });
    expect(codesPerStep).toBe(4);
    expect(edges[0]?.[0]).toBe(64);
    expect(edges.at(-1)).toEqual([944, 0]);
    expect(edges.length).toBeLessThanOrEqual(257);
    expect(edges.reduce((sum, [, share]) => sum + share, 0)).toBeCloseTo(100, 9);
  });

  it("show where R'G'B' leaves the codes of the depth", () => {
    const red = { firstCode: -96, codesPerBin: 1, counts: Array.from({ length: 1200 }, () => 1) };
    const far = {
      ...pq.measurement,
      histograms: { luma: null, cb: null, cr: null, red, green: null, blue: null },
    };
    const [percent, code] = histogramScales({ ...far, luminance: null }, []);
    // -96 of 64..940 is -18.3 %, 1104 is 118.7 %.
    expect([percent?.min, percent?.max]).toEqual([-20, 120]);
    expect([code?.min, code?.max]).toEqual([-128, 1152]);
    expect(stepsOf(red).edges[0]?.[0]).toBeLessThan(-90);
  });

  it('let the reader choose without script: one checked button and one drawing for each scale', () => {
    const scales = histogramScales(pq.measurement, pq.asked);
    const markup = renderHistograms(pq.measurement, scales, 'scale')?.markup ?? '';
    expect(markup.match(/ checked/g)).toHaveLength(1);
    expect(
      [...markup.matchAll(/<input type="radio" name="scale" id="(scale-\w+)"/g)].map((m) => m[1]),
    ).toEqual([...markup.matchAll(/<label for="(scale-\w+)"/g)].map((m) => m[1]));
    expect(markup.match(/class="scale /g)).toHaveLength(3);
    expect(markup).toContain('limit 1000');
    expect(renderHistograms({ ...pq.measurement, histograms: null }, scales, 'scale')).toBeNull();
  });
});
