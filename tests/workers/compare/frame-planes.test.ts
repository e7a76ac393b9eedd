import { describe, expect, it } from 'vitest';
import { chromaLevels, lumaLevels, type RangeName } from '../../../signal/quantise.js';
import { emptyPlanes, fillPlanes } from '../../../workers/compare/pairs/frame-planes.js';
import { isKnown, sampleLayout } from '../../../workers/measure/picture/plan/sample-layout.js';

/** A 2 x 1 frame of these codes. */
function read(pixelFormat: string, range: RangeName, codes: readonly number[], depth: number) {
  const layout = sampleLayout(pixelFormat);
  if (!isKnown(layout)) throw new Error(layout.unknown);
  const bytes =
    layout.bytesPerSample === 1 ? Uint8Array.from(codes) : new Uint8Array(Uint16Array.from(codes).buffer);
  const form = { layout, width: 2, height: 1, range };
  const planes = emptyPlanes(form);
  fillPlanes(planes, bytes, form, depth);
  return planes.map((plane) => [...plane.codes]);
}

const FORMATS = [
  ['yuv444p', 8],
  ['yuv444p10le', 10],
  ['yuv444p12le', 12],
  ['yuv444p16le', 16],
] as const;

/** By BT.2100-3, table 9: where black, white, no colour and the strongest colour lie at each depth. */
describe.each(['narrow', 'full'] as const)('%s range', (range) => {
  const rows = FORMATS.flatMap(([format, own]) => [8, 10, 12].map((depth) => ({ format, own, depth })));
  it.each(rows)('$format at the scale of $depth bits', ({ format, own, depth }) => {
    const [luma, chroma] = [lumaLevels(own, range), chromaLevels(own, range)];
    const codes = [luma.black, luma.white, chroma.neutral, chroma.max, chroma.min, chroma.neutral];
    const [wantedLuma, wanted] = [lumaLevels(depth, range), chromaLevels(depth, range)];
    const [y, cb, cr] = read(format, range, codes, depth);
    expect(y?.[0]).toBeCloseTo(wantedLuma.black, 2);
    expect(y?.[1]).toBeCloseTo(wantedLuma.white, 2);
    expect(cb?.[0]).toBe(wanted.neutral);
    expect(cr?.[1]).toBe(wanted.neutral);
    // A step of the finer code: in full range the strongest colours are half a step off the largest code.
    const step = Math.max(1, 2 ** (depth - own));
    expect(Math.abs((cb?.[1] ?? 0) - wanted.max)).toBeLessThanOrEqual(step);
    expect(Math.abs((cr?.[0] ?? 0) - wanted.min)).toBeLessThanOrEqual(step);
  });
});

it('R′G′B′ of full range has no code of no colour', () => {
  expect(read('gbrp16le', 'full', [0, 65535, 0, 65535, 0, 65535], 8)).toEqual([
    [0, 255],
    [0, 255],
    [0, 255],
  ]);
});
