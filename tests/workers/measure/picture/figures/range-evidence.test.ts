import { expect, it } from 'vitest';
import { bt2111 } from '../../../../../signal/pattern/bt2111.js';
import { ramp } from '../../../../../signal/pattern/ramp.js';
import { rp219 } from '../../../../../signal/pattern/rp219.js';
import { encodeLuma, lumaLevels, maxCode } from '../../../../../signal/quantise.js';
import { rangeOfTone } from '../../../../../workers/measure/picture/figures/range-evidence.js';

type Histogram = { readonly counts: Float64Array; readonly depth: number };

/** A picture whose tone is a smooth hill of light around `mid`, `wide` each way, in codes of its range. */
function scene(
  depth: number,
  range: 'narrow' | 'full',
  { mid = 0.45, wide = 0.18, clip = true } = {},
): Histogram {
  const counts = new Float64Array(maxCode(depth) + 1);
  for (let i = 0; i < 200_000; i++) {
    // Logistic: heavier in its tails than a bell, as scenes are.
    const share = (i + 0.5) / 200_000;
    const signal = mid + wide * 0.55 * Math.log(share / (1 - share));
    const held = clip ? Math.min(1, Math.max(0, signal)) : signal;
    const code = Math.min(maxCode(depth), Math.max(0, encodeLuma(held, depth, range)));
    counts[code] = (counts[code] ?? 0) + 1;
  }
  return { counts, depth };
}

function evenly(depth: number, from: number, to: number): Histogram {
  const counts = new Float64Array(maxCode(depth) + 1);
  for (let code = from; code <= to; code++) counts[code] = 100;
  return { counts, depth };
}

/** Even tone from black to white, and 2 % beyond each that fade out by the square, before the last codes. */
function fading(): Histogram {
  const { counts, depth } = evenly(8, 16, 235);
  for (let code = 3; code < 16; code++) counts[code] = 100 * (code / 16) ** 2;
  for (let code = 236; code < 253; code++) counts[code] = 100 * ((255 - code) / 20) ** 2;
  return { counts, depth };
}

/** Flat areas, with a little noise of one code around each. */
function graphics(depth: number, codes: readonly number[]): Histogram {
  const counts = new Float64Array(maxCode(depth) + 1);
  for (const code of codes)
    for (const at of [code - 1, code, code + 1]) if (at >= 0 && at < counts.length) counts[at] = 1_000;
  return { counts, depth };
}

function drawn({ planes, depth }: { planes: readonly Uint16Array[]; depth: number }): Histogram {
  const counts = new Float64Array(maxCode(depth) + 1);
  for (const plane of planes) for (const code of plane) counts[code] = (counts[code] ?? 0) + 1;
  return { counts, depth };
}

/** Luma of pure colours in full range, BT.709 weights, 8 bits. */
const PURE = [0, 18, 54, 73, 182, 201, 237, 255];

it.each([
  ['a scene in narrow codes, clipped at black and white', scene(8, 'narrow'), 'narrow'],
  ['the same at 10 bits', scene(10, 'narrow'), 'narrow'],
  ['a scene in full codes, clipped at both ends', scene(8, 'full'), 'full'],
  ['the same at 10 bits', scene(10, 'full'), 'full'],
  ['the same at 12 bits', scene(12, 'full'), 'full'],
  ['full codes, few of them beyond nominal black and white', scene(8, 'full', { wide: 0.13 }), null],
  ['full codes without a sample clipped, fading out at both ends', fading(), 'full'],
  [
    'full codes of low contrast that end near 16 and 235 and fade',
    scene(8, 'full', { wide: 0.075, mid: 0.5 }),
    null,
  ],
  ['narrow codes with overshoots, faded out', scene(8, 'narrow', { wide: 0.12, clip: false }), null],
  ['a narrow ramp', evenly(10, 64, 940), 'narrow'],
  ['a narrow ramp through head- and footroom', evenly(10, 4, 1019), null],
  ['the same at 8 bits', evenly(8, 1, 254), null],
  ['a narrow ramp with super-whites', evenly(10, 64, 1019), null],
  ['a full ramp', evenly(10, 0, 1023), 'full'],
  ['mid tones', evenly(10, 300, 600), null],
  ['graphics of pure colours in full codes', graphics(8, PURE), null],
  ['bars whose black stands at 16', graphics(8, [16, 33, 51, 72, 100, 130, 161, 180, 235]), null],
  ['bars in full codes', graphics(8, [0, 28, 57, 86, 115, 144, 173, 202, 230, 255]), null],
  ['nothing', { counts: new Float64Array(256), depth: 8 }, null],
] as const)('%s', (_, { counts, depth }, expected) => {
  expect(rangeOfTone(counts, depth)).toBe(expected);
});

// The published pictures (ITU-R BT.2111-3, SMPTE RP 219): whatever is said of one must not contradict its
// range.
it.each([
  ['bt2111-pq', bt2111('pq-narrow'), 'narrow'],
  ['bt2111-hlg', bt2111('hlg-narrow'), 'narrow'],
  ['bt2111-pq-full', bt2111('pq-full'), 'full'],
  ['a full ramp of R, G and B', ramp({ width: 2048, height: 8, depth: 10 }), 'full'],
] as const)('%s is not told as the other range', (_, picture, range) => {
  const { counts, depth } = drawn(picture);
  expect([range, null]).toContain(rangeOfTone(counts, depth));
});

it('RP 219 bars are not told as full', () => {
  const picture = rp219();
  expect(rangeOfTone(drawn({ ...picture, planes: [picture.planes[0]] }).counts, 10)).not.toBe('full');
});

it('the limits lie where they are stated: 2 % of the range at black', () => {
  const { black, white } = lumaLevels(8, 'narrow');
  const near = Math.floor(0.02 * (white - black));
  expect(rangeOfTone(evenly(8, black + near, white).counts, 8)).toBe('narrow');
  expect(rangeOfTone(evenly(8, black + near + 2, white).counts, 8)).toBeNull();
});
