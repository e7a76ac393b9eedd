import { describe, expect, it } from 'vitest';
import type { Colour } from '../../../../jobs/manifest/colour.js';
import type { VideoFacts } from '../../../../jobs/manifest/facts.js';
import { stillCaption } from '../../../../workers/report/stills/caption.js';
import { type DrawnFrame, framePainter } from '../../../../workers/report/stills/draw-frame.js';
import type { FrameMark } from '../../../../workers/report/stills/mark.js';
import { flat, packFrames } from '../../../media/known-clip.js';
import { videoFacts } from '../../../planner/make-facts.js';

const NOTHING: FrameMark = { kind: 'nothing', seen: 'the whole frame' };

/** A grey picture of these codes, 10 bits 4:2:2, drawn. */
function drawGrey(
  luma: readonly number[],
  size: { readonly width: number; readonly height: number },
  options: { readonly mark?: FrameMark; readonly facts?: Partial<VideoFacts>; readonly colour?: Colour } = {},
): DrawnFrame {
  const chroma = flat(512, luma.length / 2);
  const painter = framePainter(videoFacts({ ...size, ...options.facts }), options.colour ?? null);
  painter.bytes.set(packFrames({ pixelFormat: 'yuv422p10le', frames: [[luma, chroma, chroma]] }));
  return painter.draw(5, options.mark ?? NOTHING);
}

function codeAt({ rgb, width }: DrawnFrame, x: number, y: number): number {
  return rgb[(y * width + x) * 3] ?? Number.NaN;
}

describe('how a picture is shown', () => {
  it.each([
    // BT.709-6 item 4.6, narrow 10 bits: (code - 64) / 876 of white.
    ['SDR black', 64, 0],
    ['SDR white', 940, 255],
    ['SDR in between', 502, 127.5],
    ['above white, held', 1019, 255],
    ['below black, held', 4, 0],
  ])('%s', (_, code, expected) => {
    const drawn = drawGrey(flat(code, 64), { width: 8, height: 8 });
    expect(drawn.rendered).toBe('SDR, shown as it is');
    expect(Math.abs(codeAt(drawn, 3, 3) - expected)).toBeLessThanOrEqual(0.5);
  });

  it('a camera log: 18 % grey where television puts it', () => {
    // The curve's own publication: grey is code 420. BT.709-6 item 1.2: 1.099 * 0.18^0.45 - 0.099 = 40.9 %.
    const colour = {
      transfer: 'S-Log3',
      primaries: 'S-Gamut3.Cine',
      matrix: 'bt709',
      range: 'narrow',
    } as const;
    const drawn = drawGrey(flat(420, 64), { width: 8, height: 8 }, { colour });
    expect(Math.abs(codeAt(drawn, 3, 3) - 255 * 0.409)).toBeLessThanOrEqual(1);
    expect(drawn.rendered).toMatch(/rendered to SDR by goodgate.*S-Log3/);
  });

  it.each([
    // Report BT.2446-1 method A on grey, from its constants outside this project; BT.1886: power 1/2.4.
    [509, 22.6634],
    [573, 40.5953],
    [723, 100],
  ])('PQ code %d', (code, nits) => {
    const colour = {
      transfer: 'smpte2084',
      primaries: 'bt2020',
      matrix: 'bt2020nc',
      range: 'narrow',
    } as const;
    const drawn = drawGrey(flat(code, 64), { width: 8, height: 8 }, { colour });
    expect(Math.abs(codeAt(drawn, 3, 3) - 255 * (nits / 100) ** (1 / 2.4))).toBeLessThanOrEqual(1);
  });

  it('an untagged transfer as if it were SDR, and says so', () => {
    const colour = { primaries: null, transfer: null, matrix: 'bt709', range: 'narrow' } as const;
    const drawn = drawGrey(flat(940, 64), { width: 8, height: 8 }, { facts: { colour } });
    expect(codeAt(drawn, 3, 3)).toBe(255);
    expect(drawn.rendered).toContain('not known');
  });

  it('a picture without a known matrix by its luma', () => {
    const colour = { primaries: 'bt709', transfer: 'bt709', matrix: null, range: 'narrow' } as const;
    const drawn = drawGrey(flat(502, 64), { width: 8, height: 8 }, { facts: { colour } });
    expect(codeAt(drawn, 3, 3)).toBeGreaterThan(126);
  });
});

describe('shape', () => {
  const width = 16;
  const height = 8;
  // White in the corner where the picture begins.
  const corner = flat(64, width * height);
  corner[0] = 940;

  it.each([
    [0, 16, 8, 0, 0],
    [90, 8, 16, 7, 0],
    [180, 16, 8, 15, 7],
    [270, 8, 16, 0, 15],
  ])('turned %d degrees clockwise', (rotation, w, h, x, y) => {
    const drawn = drawGrey(corner, { width, height }, { facts: { rotation } });
    expect([drawn.width, drawn.height]).toEqual([w, h]);
    expect(codeAt(drawn, x, y)).toBe(255);
    expect(drawn.rgb.reduce((sum, code) => sum + code, 0)).toBe(3 * 255);
  });

  it.each([
    ['1/1', 16, 8],
    ['2/1', 32, 8],
    ['1/2', 8, 8],
  ])('pixels of %s', (sampleAspect, w, h) => {
    const drawn = drawGrey(corner, { width, height }, { facts: { sampleAspect } });
    expect([drawn.width, drawn.height]).toEqual([w, h]);
    // The light of the corner stays the same share of the picture.
    const mean = drawn.rgb.reduce((sum, code) => sum + code, 0) / drawn.rgb.length;
    expect(Math.abs(mean - 255 / (width * height))).toBeLessThan(0.05);
  });

  it('a large picture is at most 640 on its longer side', () => {
    const drawn = drawGrey(flat(502, 1920 * 1080), { width: 1920, height: 1080 });
    expect([drawn.width, drawn.height]).toEqual([640, 360]);
    expect(drawn.rgb.every((code) => code === 127 || code === 128)).toBe(true);
  });
});

describe('marks', () => {
  it('a single pixel of a large picture is not lost', () => {
    const width = 1280;
    const luma = flat(502, width * 720);
    luma[301 * width + 601] = 1022;
    const drawn = drawGrey(luma, { width, height: 720 }, { mark: { kind: 'reserved-codes' } });
    expect(drawn.area).toBe(1 / (width * 720));
    // Pixel (601, 301) is (300, 150) at half the size: white at distance 2, black at distance 1 around it.
    expect(codeAt(drawn, 300, 148)).toBe(255);
    expect(codeAt(drawn, 302, 152)).toBe(255);
    expect(codeAt(drawn, 299, 150)).toBe(0);
    expect(codeAt(drawn, 301, 151)).toBe(0);
    const near = [-3, -2, -1, 0, 1, 2, 3].flatMap((y) =>
      [-3, -2, -1, 0, 1, 2, 3].map((x) => codeAt(drawn, 300 + x, 150 + y)),
    );
    expect(near.filter((code) => code !== 127 && code !== 128)).toHaveLength(25);
  });

  it('reserved chroma offends in the pixels it colours', () => {
    const painter = framePainter(videoFacts({ width: 8, height: 8 }), null);
    const cb = flat(512, 32);
    cb[5] = 2;
    painter.bytes.set(
      packFrames({ pixelFormat: 'yuv422p10le', frames: [[flat(502, 64), cb, flat(512, 32)]] }),
    );
    expect(painter.draw(0, { kind: 'reserved-codes' }).area).toBe(2 / 64);
  });

  it('two spots apart have an outline each, spots close together have one', () => {
    const white = (spots: readonly number[]): number => {
      const luma = flat(502, 100 * 20);
      for (const x of spots) luma[10 * 100 + x] = 1022;
      const { rgb } = drawGrey(luma, { width: 100, height: 20 }, { mark: { kind: 'reserved-codes' } });
      return rgb.filter((code) => code === 255).length / 3;
    };
    // An outline of five by five, and the spot, which is white itself.
    const one = white([20]);
    expect(one).toBe(16 + 1);
    expect(white([20, 80])).toBe(2 * one);
    expect(white([20, 28])).toBe(16 + 2 * 8 + 2);
  });

  it('a single small spot in a large picture has a ring around it; an area has none', () => {
    const [width, height] = [320, 200];
    const draw = (to: number) => {
      const luma = flat(502, width * height);
      for (let y = 100; y < to; y++) luma.fill(1022, y * width + 160, y * width + 160 + to - 100);
      return drawGrey(luma, { width, height }, { mark: { kind: 'reserved-codes' } });
    };
    const ground = Math.round((255 * (502 - 64)) / 876);
    // A spot of one pixel, and a ring of radius 14: white for two pixels, then black.
    const spot = draw(101);
    expect([13, 12, 11, 10, 9].map((from) => codeAt(spot, 160 + from, 100))).toEqual([
      255,
      0,
      0,
      ground,
      ground,
    ]);
    const area = draw(140);
    expect(codeAt(area, 160 - 10, 120)).toBe(ground);
  });

  it.each([
    ['as they lie', { top: 4, bottom: 0, left: 0, right: 2 }, 1 - (30 * 12) / (32 * 16)],
    [
      'fewer than are black: the picture does not begin there',
      { top: 3, bottom: 0, left: 0, right: 2 },
      1 - (30 * 13) / (32 * 16),
    ],
    ['more than are black', { top: 5, bottom: 0, left: 0, right: 2 }, 0],
    ['on another side', { top: 4, bottom: 1, left: 0, right: 2 }, 0],
  ])('black lines %s', (_, lines, area) => {
    const luma = flat(502, 32 * 16).map((code, i) => (i < 4 * 32 || i % 32 >= 30 ? 64 : code));
    const mark = { kind: 'bars', ...lines } as const;
    expect(drawGrey(luma, { width: 32, height: 16 }, { mark }).area).toBeCloseTo(area, 9);
  });

  it('no black lines in a frame that is black throughout', () => {
    const mark = { kind: 'bars', top: 4, bottom: 4, left: 0, right: 0 } as const;
    expect(drawGrey(flat(64, 32 * 16), { width: 32, height: 16 }, { mark }).area).toBe(0);
  });

  it('light cannot be marked in a picture that has none', () => {
    expect(() => drawGrey(flat(502, 64), { width: 8, height: 8 }, { mark: { kind: 'outside-p3' } })).toThrow(
      /no light/,
    );
  });
});

describe('captions', () => {
  const shown = { area: 0.0123, rendered: 'SDR, shown as it is' };
  it.each([
    [
      { kind: 'nothing', seen: 'the first black frame' },
      shown,
      'progressive',
      'The first black frame, nothing marked; SDR, shown as it is.',
    ],
    [
      { kind: 'blank-lines', top: 0, bottom: 2, left: 6, right: 0 },
      shown,
      'progressive',
      'Outlined and hatched: black lines, 2 at the bottom, 6 at the left; SDR, shown as it is.',
    ],
    [
      { kind: 'outside-p3' },
      shown,
      'interlaced-tff',
      'Outlined and hatched: 1.23 % of the picture, outside P3-D65; SDR, shown as it is; both fields are shown as they lie in the frame.',
    ],
    [
      { kind: 'brighter-than', nits: 1000 },
      { area: 1e-6, rendered: 'rendered to SDR by goodgate' },
      null,
      'Outlined and hatched: under 0.0001 % of the picture, brighter than 1000 cd/m²; rendered to SDR by goodgate.',
    ],
  ] as const)('%j', (mark, figures, scan, text) => {
    expect(stillCaption(mark, figures, scan)).toBe(text);
  });
});
