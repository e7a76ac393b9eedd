import { describe, expect, it } from 'vitest';
import { bakeRendering } from '../../../signal/lut/bake.js';
import { parseCube } from '../../../signal/lut/cube-format.js';
import { applyCube } from '../../../signal/lut/linear-interpolation.js';
import type { Vector3 } from '../../../signal/matrix3.js';
import { makeRendering } from '../../../signal/rendering/make-rendering.js';
import type { RenderingColour } from '../../../signal/rendering/rendering-colour.js';
import { transferFunction } from '../../../signal/transfer/transfer-functions.js';

const S_LOG3: RenderingColour = { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine', range: 'narrow' };
const BT709: RenderingColour = { transfer: 'bt709', primaries: 'bt709', range: 'narrow' };
const PQ: RenderingColour = { transfer: 'smpte2084', primaries: 'bt2020', range: 'narrow' };

/** Two points a side: corners swapped and halved, so that a channel mixed up or a scale lost shows. */
const look3d = parseCube(
  ['LUT_3D_SIZE 2', '0 0 0', '0 .5 0', '0 0 .5', '0 .5 .5', '.5 0 0', '.5 .5 0', '.5 0 .5', '.5 .5 .5'].join(
    '\n',
  ),
);
const lookWide = parseCube(
  ['LUT_1D_SIZE 3', 'DOMAIN_MIN 0 0 0', 'DOMAIN_MAX 0.5 0.5 0.5', '0 0 0', '.2 .3 .4', '1 1 1'].join('\n'),
);
const COLOURS: readonly Vector3[] = [
  [0.41, 0.5, 0.3],
  [0.1, 0.6, 0.95],
  [0.4106, 0.4106, 0.4106],
];

/** Two points a side that change nothing: what comes out shows the scales alone. */
const plain = parseCube(
  ['LUT_3D_SIZE 2', '0 0 0', '1 0 0', '0 1 0', '1 1 0', '0 0 1', '1 0 1', '0 1 1', '1 1 1'].join('\n'),
);

describe('the scale of a look', () => {
  /**
   * 18 % grey of S-Log3 is code 420 of 10 bits (its publication); 64 and 940 are black and white (ITU-R
   * BT.709-6, item 5.6).
   */
  const grey = 420 / 1023;
  const narrowGrey = (420 - 64) / (940 - 64);
  it.each([
    ['code values in, black to white out', 'full', 'narrow', grey],
    ['black to white at both ends', 'narrow', 'narrow', narrowGrey],
    // Code 420 out, of which black is 64 and white 940.
    ['code values at both ends', 'full', 'full', narrowGrey],
    ['black to white in, code values out', 'narrow', 'full', (narrowGrey * 1023 - 64) / (940 - 64)],
  ] as const)('%s', (_, input, output, wanted) => {
    const lookUse = { place: 'instead', scale: { input, output } } as const;
    const { apply, notes } = makeRendering({ from: S_LOG3, to: BT709, look: plain, lookUse });
    for (const value of apply([grey, grey, grey])) expect(value).toBeCloseTo(wanted, 9);
    expect(notes.join()).toContain('the look takes S-Log3/S-Gamut3.Cine');
  });

  it('a look in code values, after a rendering, gets code values', () => {
    const lookUse = { place: 'after', scale: { input: 'full', output: 'narrow' } } as const;
    const { apply } = makeRendering({ from: BT709, to: BT709, look: plain, lookUse });
    // Half of the way from black to white is code 502 of 1023.
    for (const value of apply([0.5, 0.5, 0.5])) expect(value).toBeCloseTo(502 / 1023, 9);
  });
});

describe('a look on camera log', () => {
  it.each([
    ['3D', look3d],
    ['1D with a domain of its own', lookWide],
  ])('%s: takes the log signal to the target, in place of the rendering', (_, look) => {
    const { apply, notes } = makeRendering({ from: S_LOG3, to: BT709, look });
    for (const colour of COLOURS) {
      const want = applyCube(look, colour);
      for (const [i, v] of apply(colour).entries()) expect(v).toBeCloseTo(want[i] ?? 0, 9);
    }
    expect(notes.join()).toContain('S-Log3/S-Gamut3.Cine');
  });

  it('gets the log signal after exposure', () => {
    const curve = transferFunction('S-Log3');
    if (curve.referred !== 'scene') throw new Error();
    const { apply } = makeRendering({ from: S_LOG3, to: BT709, look: look3d, exposure: 1 });
    const bright = curve.oetf(0.36);
    const grey = curve.oetf(0.18);
    const want = applyCube(look3d, [bright, bright, bright]);
    for (const [i, v] of apply([grey, grey, grey]).entries()) expect(v).toBeCloseTo(want[i] ?? 0, 9);
  });

  it('adds no error when baked, since its own points are used', () => {
    expect(bakeRendering(makeRendering({ from: S_LOG3, to: BT709, look: look3d })).error.worst).toBeLessThan(
      1e-6,
    );
  });

  it('warns where the target is HDR', () => {
    expect(makeRendering({ from: S_LOG3, to: PQ, look: look3d }).notes.join()).toMatch(/made for SDR/);
    expect(makeRendering({ from: S_LOG3, to: BT709, look: look3d }).notes.join()).not.toMatch(/made for SDR/);
  });
});

describe('a look on a picture made for a display', () => {
  it('comes after the rendering, in the signal of the target', () => {
    const plain = makeRendering({ from: PQ, to: BT709 });
    const { apply } = makeRendering({ from: PQ, to: BT709, look: look3d });
    for (const colour of COLOURS) {
      const want = applyCube(look3d, plain.apply(colour));
      for (const [i, v] of apply(colour).entries()) expect(v).toBeCloseTo(want[i] ?? 0, 9);
    }
  });
  it('is applied even where there is no other rendering', () => {
    const { apply } = makeRendering({ from: BT709, to: BT709, look: look3d });
    for (const colour of COLOURS) {
      const want = applyCube(look3d, colour);
      for (const [i, v] of apply(colour).entries()) expect(v).toBeCloseTo(want[i] ?? 0, 9);
    }
  });
});
