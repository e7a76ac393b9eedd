import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Colour } from '../../jobs/manifest/colour.js';
import { makeRendering } from '../../signal/rendering/make-rendering.js';
import { bakeToFiles } from '../../workers/rendering/bake-files.js';
import { renderSamples } from '../workers/rendering/render-samples.js';
import {
  codeErrors,
  expectedPositions,
  HEIGHT,
  logColours,
  RENDERED_TO,
  S_LOG3,
  summary,
  WIDTH,
  ycbcrCodes,
} from './log-colours.js';

/**
 * The filter chain in real files, against the formulas in double precision: the project's own aim (mean under
 * 0.25 and 99.9 % under 1 code at 10 bits). Expected codes come from the known input codes and the formulas;
 * the tables are not asked.
 */
let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-baked-'));
});
afterAll(() => rm(folder, { recursive: true }));

const PLAIN = { width: WIDTH, height: HEIGHT, scan: 'progressive', chromaLocation: null } as const;

describe('S-Log3/S-Gamut3.Cine through real files', () => {
  it.each(RENDERED_TO)('to $transfer, RGB in 16 bits: error of the tables alone', async (target) => {
    const from: Colour = { ...S_LOG3, matrix: 'gbr', range: 'full' };
    const to: Colour = { ...target, matrix: 'gbr', range: 'full' };
    const colours = logColours();
    const [g, b, r] = await renderSamples({
      from,
      to,
      baked: await bakeToFiles({ from, to, exposure: 0, look: null }, folder),
      source: { ...PLAIN, pixelFormat: 'gbrp10le' },
      output: { ...PLAIN, pixelFormat: 'gbrp16le' },
      planes: [1, 2, 0].map((channel) => colours.map((colour) => colour[channel] ?? 0)),
    });
    const { apply } = makeRendering({ from, to });
    // In codes of a 10-bit narrow picture: 876 from black to white.
    const errors = colours.flatMap(([cr, cg, cb], i) => {
      const want = apply([cr / 1023, cg / 1023, cb / 1023]);
      return [r, g, b].map((plane, channel) =>
        Math.abs(876 * ((plane?.[i] ?? Number.NaN) / 65535 - (want[channel] ?? 0))),
      );
    });
    const { mean, p999 } = summary(errors);
    expect(mean).toBeLessThan(0.25);
    expect(p999).toBeLessThan(1);
  });

  it.each(RENDERED_TO)("to $transfer, Y'CbCr 4:4:4 in 10 bits", async (to) => {
    const codes = logColours().map(ycbcrCodes);
    const got = await renderSamples({
      from: S_LOG3,
      to,
      baked: await bakeToFiles({ from: S_LOG3, to, exposure: 0, look: null }, folder),
      source: { ...PLAIN, pixelFormat: 'yuv444p10le' },
      output: { ...PLAIN, pixelFormat: 'yuv444p10le' },
      planes: [0, 1, 2].map((plane) => codes.map((code) => code[plane] ?? 0)),
    });
    const { rounded, exact } = codeErrors(got, expectedPositions(codes, to));
    expect(rounded.mean).toBeLessThan(0.25);
    expect(exact.p999).toBeLessThan(1);
  });
});
