import { describe, expect, test } from 'vitest';
import { gamut, type PrimariesName } from '../../signal/gamut/gamuts.js';
import { transform3, type Vector3 } from '../../signal/matrix3.js';
import { BT1886 } from '../../signal/transfer/bt1886.js';
import { hlgInverseEotf } from '../../signal/transfer/hlg-ootf.js';
import { PQ } from '../../signal/transfer/pq.js';
import openColorIo from './data/opencolorio-values.json' with { type: 'json' };

/** XYZ in these rows has Y = 1 at 100 cd/m2 for PQ and HLG, and at display white for BT.1886. */
const NITS_PER_UNIT = 100;

function each(rgb: Vector3, curve: (light: number) => number): Vector3 {
  return [curve(rgb[0]), curve(rgb[1]), curve(rgb[2])];
}

const pq = (rgb: Vector3): Vector3 => each(rgb, (light) => PQ.inverseEotf(light * NITS_PER_UNIT));
const hlg = (rgb: Vector3): Vector3 => hlgInverseEotf(each(rgb, (light) => light * NITS_PER_UNIT));
const bt1886 = (rgb: Vector3): Vector3 => each(rgb, BT1886.inverseEotf);

const DISPLAYS: readonly {
  display: keyof (typeof openColorIo)['XYZ-D65_to_display_code'];
  primaries: PrimariesName;
  encode: (rgb: Vector3) => Vector3;
}[] = [
  { display: 'BT.1886 / BT.709', primaries: 'bt709', encode: bt1886 },
  { display: 'BT.1886 / BT.2020', primaries: 'bt2020', encode: bt1886 },
  { display: 'BT.2100 PQ', primaries: 'bt2020', encode: pq },
  { display: 'PQ / P3-D65', primaries: 'smpte432', encode: pq },
  { display: 'BT.2100 HLG 1000 nit', primaries: 'bt2020', encode: hlg },
];

describe.each(DISPLAYS)(
  'XYZ to $display: OpenColorIO 2.1.2 built-in transforms, to 1e-5',
  ({ display, primaries, encode }) => {
    const rows = openColorIo['XYZ-D65_to_display_code'][display];

    test('has rows', () => expect(rows.length).toBeGreaterThanOrEqual(5));
    test.each(rows)('$in', ({ in: [x = Number.NaN, y = Number.NaN, z = Number.NaN], out }) => {
      for (const [channel, value] of encode(transform3(gamut(primaries).xyzToRgb, [x, y, z])).entries()) {
        const wanted = out[channel] ?? Number.NaN;
        expect(
          Math.abs(value - wanted),
          `channel ${channel}: ${value}, reference ${wanted}`,
        ).toBeLessThanOrEqual(1e-5);
      }
    });
  },
);
