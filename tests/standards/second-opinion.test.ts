import Color from 'colorjs.io';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { rgbToRgbMatrix } from '../../signal/gamut/convert.js';
import { gamut, type PrimariesName } from '../../signal/gamut/gamuts.js';
import { transform3, type Vector3 } from '../../signal/matrix3.js';
import { BT1886 } from '../../signal/transfer/bt1886.js';
import { BT2020_12_OETF } from '../../signal/transfer/bt2020.js';
import { HLG } from '../../signal/transfer/hlg.js';
import { PQ } from '../../signal/transfer/pq.js';
import { SRGB } from '../../signal/transfer/srgb.js';

/** A general-purpose colour library (colorjs.io) computes the same; its formulas were written by others. */
const unit = fc.double({ min: 0, max: 1, noNaN: true });
const colour = fc.tuple(unit, unit, unit);

function theirs(from: string, coords: readonly [number, number, number], to: string): Vector3 {
  const [a, b, c] = new Color(from, [...coords]).to(to).coords;
  return [Number(a), Number(b), Number(c)];
}

function expectClose(ours: Vector3, reference: Vector3, tolerance: number): void {
  for (const [channel, value] of ours.entries()) {
    const wanted = reference[channel] ?? Number.NaN;
    expect(Math.abs(value - wanted), `${value} and ${wanted}`).toBeLessThanOrEqual(
      tolerance * Math.max(1, Math.abs(wanted)),
    );
  }
}

const each = ([a, b, c]: Vector3, curve: (value: number) => number): Vector3 => [
  curve(a),
  curve(b),
  curve(c),
];

describe.each<[string, PrimariesName]>([
  ['srgb-linear', 'bt709'],
  ['p3-linear', 'smpte432'],
  ['rec2020-linear', 'bt2020'],
])('gamut of %s', (id, name) => {
  test('to XYZ', () => {
    fc.assert(
      fc.property(colour, (rgb) =>
        expectClose(transform3(gamut(name).rgbToXyz, rgb), theirs(id, rgb, 'xyz-d65'), 1e-9),
      ),
    );
  });
});

test('P3 to BT.2020, and BT.2020 to BT.709 far outside it', () => {
  fc.assert(
    fc.property(colour, (rgb) => {
      expectClose(
        transform3(rgbToRgbMatrix('smpte432', 'bt2020'), rgb),
        theirs('p3-linear', rgb, 'rec2020-linear'),
        1e-9,
      );
      expectClose(
        transform3(rgbToRgbMatrix('bt2020', 'bt709'), rgb),
        theirs('rec2020-linear', rgb, 'srgb-linear'),
        1e-9,
      );
    }),
  );
});

test('AP1 to BT.709: Bradford between the whites (their ACES white is rounded otherwise, hence 1e-4)', () => {
  fc.assert(
    fc.property(colour, (rgb) =>
      expectClose(
        transform3(rgbToRgbMatrix('AP1', 'bt709'), rgb),
        theirs('acescg', rgb, 'srgb-linear'),
        1e-4,
      ),
    ),
  );
});

test('sRGB both ways', () => {
  fc.assert(
    fc.property(colour, (rgb) => {
      expectClose(each(rgb, SRGB.eotf), theirs('srgb', rgb, 'srgb-linear'), 1e-7);
      expectClose(each(rgb, SRGB.inverseEotf), theirs('srgb-linear', rgb, 'srgb'), 1e-7);
    }),
  );
});

test('BT.1886 as their BT.2020 display curve', () => {
  fc.assert(
    fc.property(colour, (rgb) =>
      expectClose(each(rgb, BT1886.eotf), theirs('rec2020', rgb, 'rec2020-linear'), 1e-12),
    ),
  );
});

test('BT.2020 OETF: they use the seamless constants, we the printed 12-bit ones, 1e-4 apart at most', () => {
  fc.assert(
    fc.property(colour, (rgb) =>
      expectClose(each(rgb, BT2020_12_OETF.oetf), theirs('rec2020-linear', rgb, '--rec2020-oetf'), 1e-4),
    ),
  );
});

test('PQ: their linear light is 1 at 203 cd/m2', () => {
  fc.assert(
    fc.property(colour, (signal) => {
      const light = each(signal, (value) => PQ.eotf(value) / 203);
      expectClose(light, theirs('rec2100pq', signal, 'rec2100-linear'), 1e-9);
      expectClose(
        each(light, (value) => PQ.inverseEotf(value * 203)),
        theirs('rec2100-linear', light, 'rec2100pq'),
        1e-9,
      );
    }),
  );
});

test('HLG: their scene light is scaled by 3.7743 so that 75 % is near 1, and their b and c are the rounded ones', () => {
  fc.assert(
    fc.property(colour, (signal) => {
      const light = each(signal, (value) => HLG.inverseOetf(value) * 3.7743);
      expectClose(light, theirs('rec2100hlg', signal, 'rec2100-linear'), 1e-6);
      expectClose(
        each(light, (value) => HLG.oetf(value / 3.7743)),
        theirs('rec2100-linear', light, 'rec2100hlg'),
        1e-6,
      );
    }),
  );
});
