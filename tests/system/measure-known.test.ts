import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import type { Vector3 } from '../../signal/matrix3.js';
import { decodeChroma, decodeLuma, encodeChroma, encodeLuma } from '../../signal/quantise.js';
import { PQ } from '../../signal/transfer/pq.js';
import { rgbToYcbcr, ycbcrToRgb } from '../../signal/ycbcr.js';
import type { FrameFigures } from '../../workers/measure/figures/frame-table.js';
import type { FrameColumns } from '../../workers/measure/picture/recording/picture-totals.js';
import { probeClip } from '../../workers/probe/probe-clip.js';
import { flat, type KnownClip, temporaryFolder, writeKnownClip } from '../media/known-clip.js';
import { measureFile } from '../media/measure-file.js';

const WIDTH = 64;
const HEIGHT = 36;
const PIXELS = WIDTH * HEIGHT;
const PQ_COLOUR = { primaries: 'bt2020', transfer: 'smpte2084', matrix: 'bt2020nc', range: 'tv' } as const;
const HLG_COLOUR = { ...PQ_COLOUR, transfer: 'arib-std-b67' } as const;
const SDR_COLOUR = { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'tv' } as const;

const CHROMA_SAMPLES = { yuv420p10le: PIXELS / 4, yuv422p10le: PIXELS / 2, yuv444p10le: PIXELS } as const;
type Format = keyof typeof CHROMA_SAMPLES;
const FORMATS = Object.keys(CHROMA_SAMPLES) as Format[];

let folder: Awaited<ReturnType<typeof temporaryFolder>>;
beforeAll(async () => {
  folder = await temporaryFolder();
});
afterAll(() => folder.remove());

let clips = 0;
/** A measurement, and the figures of each frame. */
async function measureFrames(
  clip: Partial<KnownClip> & Pick<KnownClip, 'frames'>,
  name = 'mkv',
): Promise<Measurement & { readonly columns: FrameColumns }> {
  const path = join(folder.path, `clip ${clips++}.${name}`);
  await writeKnownClip(path, {
    width: WIDTH,
    height: HEIGHT,
    pixelFormat: 'yuv422p10le',
    colour: SDR_COLOUR,
    ...clip,
  });
  let columns: FrameColumns | undefined;
  const onFrameFigures = ({ totals }: FrameFigures): void => {
    columns = totals.columns;
  };
  const measurement = await measureFile(path, { onFrameFigures });
  expect(measurement.decode).toMatchObject({ errors: 0, messages: [], truncated: false });
  if (columns === undefined) throw new Error('there are no figures of the frames');
  return { ...measurement, columns };
}

const measureClip: (...clip: Parameters<typeof measureFrames>) => Promise<Measurement> = measureFrames;

function neutral(code: number, format: Format): number[][] {
  const chroma = CHROMA_SAMPLES[format];
  return [flat(code, PIXELS), flat(512, chroma), flat(512, chroma)];
}

describe('PQ light of neutral patches', () => {
  // ST 2084 through BT.2100-3 Table 4; cd/m2 of narrow 10-bit codes, calculated in double precision from the
  // printed constants (reference table A1); 509, 723, 855 and 940 also known as the codes of 100, 1000, 4000,
  // 10000.
  const table = [
    [64, 0],
    [256, 3.2826],
    [509, 99.9128],
    [573, 203.703],
    [723, 1004.1919],
    [844, 3573.5086],
    [940, 10000],
  ] as const;
  it.each(FORMATS)('%s', async (format) => {
    const frames = table.map(([code]) => neutral(code, format));
    const { luminance, levels, video, unmeasured, columns } = await measureFrames({
      pixelFormat: format,
      frames: [...frames, neutral(723, format)],
      colour: PQ_COLOUR,
    });
    expect(video?.frames).toBe(table.length + 1);
    expect(levels?.luma).toMatchObject({ min: 64, max: 940, percentMin: 0, percentMax: 100 });
    expect(levels?.rgb?.min).toBeCloseTo(64, 3);
    expect(levels?.rgb?.max).toBeCloseTo(940, 3);
    expect(luminance).toMatchObject({ maxCll: 10000, maxCllFrame: 6, maxFall: 10000, maxFallFrame: 6 });
    expect(luminance?.outsideP3).toEqual({ worstFrame: null, worstArea: 0 });
    expect(unmeasured.map(({ what }) => what)).toEqual(['video.bitDepth.effective']);

    for (const [frame, [code, nits]] of table.entries()) {
      expect(columns.lightMax[frame], `code ${code}`).toBeCloseTo(nits, 3);
      expect(columns.lightAverage[frame], `code ${code}`).toBeCloseTo(nits, 3);
      expect(columns.lightP9999[frame], `code ${code}`).toBeCloseTo(nits, 3);
    }
    const half = await measureClip({
      pixelFormat: format,
      frames: [neutral(573, format)],
      colour: PQ_COLOUR,
    });
    expect(half.luminance?.maxCll).toBeCloseTo(203.703, 3);
    expect(half.luminance?.maxFall).toBeCloseTo(203.703, 3);
    expect(half.luminance?.p9999).toBeCloseTo(203.703, 3);
  });
});

describe('light of coloured patches is max(R,G,B), not luminance (CTA-861.3 Annex A)', () => {
  /** The codes of a pure colour of about 1000 cd/m2, and the light that the rounded codes stand for. */
  function pure(channels: Vector3): { readonly codes: Vector3; readonly nits: number } {
    const peak = PQ.inverseEotf(1000);
    const ycbcr = rgbToYcbcr([channels[0] * peak, channels[1] * peak, channels[2] * peak], 'bt2020nc');
    const codes: Vector3 = [
      encodeLuma(ycbcr[0], 10, 'narrow'),
      encodeChroma(ycbcr[1], 10, 'narrow'),
      encodeChroma(ycbcr[2], 10, 'narrow'),
    ];
    const decoded = ycbcrToRgb(
      [
        decodeLuma(codes[0], 10, 'narrow'),
        decodeChroma(codes[1], 10, 'narrow'),
        decodeChroma(codes[2], 10, 'narrow'),
      ],
      'bt2020nc',
    );
    const nits = Math.max(...decoded.map((signal) => PQ.eotf(signal)));
    expect(nits).toBeGreaterThan(970);
    expect(nits).toBeLessThan(1030);
    return { codes, nits };
  }

  it.each(FORMATS)('red, green and blue of 1000 cd/m2 in %s', async (format) => {
    const chroma = CHROMA_SAMPLES[format];
    const colours = [pure([1, 0, 0]), pure([0, 1, 0]), pure([0, 0, 1])];
    const { luminance, columns } = await measureFrames({
      pixelFormat: format,
      colour: PQ_COLOUR,
      frames: colours.map(({ codes: [y, cb, cr] }) => [flat(y, PIXELS), flat(cb, chroma), flat(cr, chroma)]),
    });
    const near = (value: number | undefined, nits: number, tolerance: number): void =>
      expect(Math.abs((value ?? 0) / nits - 1)).toBeLessThan(tolerance);
    for (const [frame, { nits }] of colours.entries()) {
      near(columns.lightMax[frame], nits, 1e-5);
      near(columns.lightAverage[frame], nits, 1e-3);
      near(columns.lightP9999[frame], nits, 1e-3);
      expect(columns.p3Area[frame]).toBe(1);
    }
    near(luminance?.maxCll, Math.max(...colours.map(({ nits }) => nits)), 1e-5);
    expect(luminance?.outsideP3).toEqual({ worstFrame: 0, worstArea: 1 });
  });
});

describe('MaxCLL, MaxFALL and the 99.99 percentile of made pictures', () => {
  it('1 % of white on black: 1000 and 10; half 100, half 400: 400 and 250 (synthetic checks of the definition)', async () => {
    // 100 x 100 pixels: 1 % is a square of 10 x 10. Codes at 16 bits come within 0.01 % of the round figures.
    const side = 100;
    const code = (nits: number): number => encodeLuma(PQ.inverseEotf(nits), 16, 'narrow');
    const plane = (at: (x: number, y: number) => number): number[] =>
      Array.from({ length: side * side }, (_, i) => code(at(i % side, Math.floor(i / side))));
    const frame = (at: (x: number, y: number) => number): number[][] => [
      plane(at),
      flat(32768, side * side),
      flat(32768, side * side),
    ];
    const { luminance } = await measureClip({
      width: side,
      height: side,
      pixelFormat: 'yuv444p16le',
      colour: PQ_COLOUR,
      frames: [frame((x) => (x < 50 ? 100 : 400)), frame((x, y) => (x < 10 && y < 10 ? 1000 : 0))],
    });
    const near = (value: number | undefined, expected: number): void =>
      expect(Math.abs((value ?? 0) / expected - 1)).toBeLessThan(1e-3);
    near(luminance?.maxCll, 1000);
    expect(luminance?.maxCllFrame).toBe(1);
    near(luminance?.maxFall, 250);
    expect(luminance?.maxFallFrame).toBe(0);
    // 100 of 20,000 pixels have 1000 cd/m2: far more than a ten-thousandth.
    near(luminance?.p9999, 1000);
  });

  it('leaves a ten-thousandth of the pixels out of the percentile', async () => {
    const luma = flat(509, 200 * 100);
    luma[5] = 940;
    luma[77] = 940;
    const { luminance } = await measureClip({
      width: 200,
      height: 100,
      pixelFormat: 'gray10le',
      colour: PQ_COLOUR,
      frames: [[luma]],
    });
    expect(luminance?.maxCll).toBe(10000);
    expect(luminance?.p9999).toBeCloseTo(99.9128, 3);
  });

  // BT.2100-3 Table 5 for a display of 1,000 cd/m2; 1019 is 1811 cd/m2 (EBU R 167 Table 1.1, seen quoted).
  it('light of HLG codes', async () => {
    const table = [
      [502, 50.697, 0.005],
      [721, 203.1521, 0.01],
      [940, 1000, 0.01],
      [1019, 1811, 1],
    ] as const;
    const frames = table.map(([code]) => neutral(code, 'yuv422p10le'));
    const { luminance, columns } = await measureFrames({ frames, colour: HLG_COLOUR });
    for (const [frame, [code, nits, tolerance]] of table.entries()) {
      expect(Math.abs((columns.lightMax[frame] ?? 0) - nits), `code ${code}`).toBeLessThan(tolerance);
      expect(Math.abs((columns.lightAverage[frame] ?? 0) / nits - 1), `code ${code}`).toBeLessThan(1e-3);
      expect(Math.abs((columns.lightP9999[frame] ?? 0) / nits - 1), `code ${code}`).toBeLessThan(1e-3);
    }
    expect(Math.abs((luminance?.maxCll ?? 0) - 1811)).toBeLessThan(1);
    expect(luminance?.maxCllFrame).toBe(3);
    expect(luminance?.displayPeak).toBe(1000);
  });
});

describe('EBU R 103 v3.0 area', () => {
  const sdr = (luma: number[]): number[][] => [luma, flat(512, PIXELS / 2), flat(512, PIXELS / 2)];
  const plane = (at: (x: number, y: number) => number): number[] =>
    Array.from({ length: PIXELS }, (_, i) => at(i % WIDTH, Math.floor(i / WIDTH)));

  it('a flat picture at the limits is inside, one code beyond is all outside', async () => {
    const frames = [20, 984, 19, 985].map((code) => sdr(flat(code, PIXELS)));
    const { gamutError } = (await measureClip({ frames, timecode: '10:00:00:00' }, 'mov')).levels ?? {};
    expect(gamutError).toEqual({
      worstFrame: 2,
      worstArea: 1,
      framesOver: 2,
      ranges: [{ from: 2, to: 4, fromTimecode: '10:00:00:02', toTimecode: '10:00:00:04' }],
    });
  });

  it('the filter takes single pixels away and keeps areas', async () => {
    // One pixel of 1019 in 940: filtered 940 + 79 * (4/16) * (2/4) = 949.9, inside.
    const single = plane((x, y) => (x === 20 && y === 20 ? 1019 : 940));
    // Right half 1019, left half 940: the step response of 1-2-3-4-3-2-1 /16 from the edge on is 10/16,
    // 13/16, 15/16, 1: 940 + 79 * 10/16 = 989.4 and more, outside; and on the other side 6/16: 969.6, inside.
    const half = plane((x) => (x >= WIDTH / 2 ? 1019 : 940));
    const { levels } = await measureClip({ frames: [sdr(single), sdr(half)] });
    expect(levels?.gamutError).toMatchObject({ worstFrame: 1, worstArea: 0.5, framesOver: 1 });
    expect(levels?.gamutError.ranges).toMatchObject([{ from: 1, to: 2 }]);
    // The top and bottom rows of a horizontal band: rows at or above y=18 at 1019. 3/4 of 79 outside: 999;
    // 1/4: 959.8, inside.
    const band = await measureClip({ frames: [sdr(plane((_, y) => (y >= 18 ? 1019 : 940)))] });
    expect(band.levels?.gamutError.worstArea).toBe(0.5);
  });

  it('sees R′G′B′ outside where Y′ is not', async () => {
    // Y′ 500 with Cr 960: R′ = 500 + 1.5748 * 448 * 876 / 896 = 1189.8, far outside; Y′ is mid grey.
    const { levels } = await measureClip({
      frames: [[flat(500, PIXELS), flat(512, PIXELS / 2), flat(960, PIXELS / 2)]],
    });
    expect(levels?.luma).toMatchObject({ min: 500, max: 500 });
    expect(levels?.rgb?.max).toBeCloseTo(500 + 2 * (1 - 0.2126) * 448 * (876 / 896), 3);
    expect(levels?.gamutError.worstArea).toBe(1);
  });

  it('stays within a field when the picture is interlaced', async () => {
    // Lines of 1019 and 900 in turn. Across the frame: (900 + 1019)/2 = 959.5, inside. Within a field every
    // second line is 1019.
    const path = join(folder.path, 'interlaced.mkv');
    const combed = plane((_, y) => (y % 2 === 0 ? 1019 : 900));
    await writeKnownClip(path, {
      width: WIDTH,
      height: HEIGHT,
      pixelFormat: 'yuv422p10le',
      colour: SDR_COLOUR,
      frames: [sdr(combed)],
    });
    const facts = await probeClip(path);
    const as = async (scan: 'progressive' | 'interlaced-tff'): Promise<Measurement> =>
      measureFile(path, { facts: { ...facts, video: facts.video && { ...facts.video, scan } } });
    expect((await as('progressive')).levels?.gamutError.worstArea).toBeCloseTo(1 / HEIGHT, 6);
    expect((await as('interlaced-tff')).levels?.gamutError.worstArea).toBe(0.5);
  });
});

describe('levels', () => {
  it('counts the codes SDI reserves, chroma too, and says where they begin', async () => {
    const frame = neutral(500, 'yuv422p10le');
    const bad = neutral(500, 'yuv422p10le');
    const [luma, cb] = bad;
    if (luma) luma[7] = 1020;
    if (luma) luma[8] = 3;
    if (luma) luma[9] = 4;
    if (luma) luma[10] = 1019;
    if (cb) cb[3] = 1023;
    const { levels } = await measureClip({ frames: [frame, bad, frame] });
    expect(levels?.reservedCodes).toEqual({ samples: 3, firstFrame: 1 });
  });

  it.each([
    // Codes of a ramp, first to last; what is declared does not matter.
    ['a full-range ramp declared narrow', 0, 1023, true],
    ['a narrow ramp', 64, 940, false],
    ['a narrow ramp with super-whites', 64, 1019, null],
    ['mid tones only', 300, 600, null],
  ])('range: %s', async (_, from, to, expected) => {
    const luma = Array.from({ length: PIXELS }, (_, i) =>
      Math.round(from + ((to - from) * i) / (PIXELS - 1)),
    );
    const { levels } = await measureClip({ pixelFormat: 'gray10le', frames: [[luma]] });
    expect(levels?.looksFullRange).toBe(expected);
    expect(levels?.luma).toMatchObject({ min: from, max: to });
  });

  it.each([
    ['8 bits moved up', (v: number) => (v >> 2) << 2, 8],
    ['8 bits repeated below', (v: number) => ((v >> 2) << 2) | (v >> 8), 8],
    ['all 10 bits', (v: number) => v, 10],
  ])('effective depth: %s', async (_, code, expected) => {
    // Three pixels to each code: uneven counts would look like a comb of a shallower depth.
    const luma = Array.from({ length: PIXELS }, (_, i) => code(100 + Math.floor((768 * i) / PIXELS)));
    const { video } = await measureClip({ pixelFormat: 'gray10le', frames: [[luma]] });
    expect(video?.bitDepth).toEqual({ declared: 10, effective: expected, confidence: 'high' });
  });

  it('odd sizes, RGB at 12 bits', async () => {
    const pixels = 33 * 17;
    const planes = [flat(256, pixels), flat(300, pixels), flat(3760, pixels)];
    const { levels, video } = await measureClip({
      width: 33,
      height: 17,
      pixelFormat: 'gbrp12le',
      frames: [planes],
      colour: { primaries: 'bt709', transfer: 'bt709' },
    });
    expect(video).toMatchObject({ width: 33, height: 17, frames: 1 });
    expect(levels?.luma).toBeNull();
    expect(levels?.rgb).toMatchObject({ min: 256, max: 3760 });
  });
});

describe('exposure of camera logs', () => {
  const colour = {
    transfer: 'S-Log3',
    primaries: 'S-Gamut3.Cine',
    matrix: 'bt709',
    range: 'narrow',
  } as const;
  const measureLog = async (luma: number[]): Promise<Measurement['exposure']> => {
    const path = join(folder.path, `log ${clips++}.mkv`);
    const frames = [[luma, flat(512, PIXELS / 2), flat(512, PIXELS / 2)]];
    await writeKnownClip(path, { width: WIDTH, height: HEIGHT, pixelFormat: 'yuv422p10le', frames });
    return (await measureFile(path, { colour })).exposure;
  };

  // S-Log3, codes of 18 % grey and 90 % white as its document prints them: 420 and 598.
  it.each([
    [420, 0],
    [598, Math.log2(0.9 / 0.18)],
  ])('code %i is %f stops from the grey card', async (code, stops) => {
    const exposure = await measureLog(flat(code, PIXELS));
    // The printed codes are rounded: a code is 1/80 of a stop there.
    expect(exposure?.medianStops).toBeCloseTo(stops, 1);
    expect(exposure).toMatchObject({ clippedArea: code === 420 ? 0 : expect.any(Number), noiseFloorArea: 0 });
  });

  it('counts what heaps up at the top and what lies in the noise', async () => {
    // Half the picture a ramp from 200 to 800, a quarter at 940 (clipped), a quarter at black, 95.
    const luma = Array.from({ length: PIXELS }, (_, i) => {
      if (i < PIXELS / 4) return 940;
      if (i < PIXELS / 2) return 95;
      return 200 + Math.floor((600 * (i - PIXELS / 2)) / (PIXELS / 2));
    });
    const exposure = await measureLog(luma);
    expect(exposure?.clippedArea).toBe(0.25);
    // S-Log3 reaches 0.18 / 2^6 = 0.0028 of reflectance at code 114: of the ramp nothing is below.
    expect(exposure?.noiseFloorArea).toBe(0.25);
  });
});

describe('what the file declares', () => {
  it('HDR metadata that only the bitstream carries, beside what was measured', async () => {
    const master = 'G(13250,34500)B(7500,3000)R(34000,16000)WP(15635,16450)L(10000000,50)';
    const params = `log-level=error:lossless=1:hdr10=1:master-display=${master}:max-cll=1000,400`;
    const { luminance, hdr } = await measureClip({
      pixelFormat: 'yuv420p10le',
      frames: [neutral(723, 'yuv420p10le')],
      colour: PQ_COLOUR,
      encode: ['-c:v', 'libx265', '-x265-params', params],
    });
    expect(luminance?.maxCll).toBeCloseTo(1004.1919, 3);
    expect(luminance?.declared).toEqual({
      maxCll: 1000,
      maxFall: 400,
      masteringMin: 0.005,
      masteringMax: 1000,
    });
    expect(hdr.mastering?.red).toEqual([0.68, 0.32]);
  });
});
