import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { requirementSet } from '../../../../../jobs/requirements/requirement.js';
import type { Finding } from '../../../../../jobs/verdict/verdict.js';
import { judge } from '../../../../../workers/judge/judge.js';
import { flat, temporaryFolder, writeKnownClip } from '../../../../media/known-clip.js';
import { measureFile } from '../../../../media/measure-file.js';

/**
 * Through a file and back: lossless clips of flat fields, the size of a stamp, which are gone when the tests
 * are done.
 */
const WIDTH = 64;
const HEIGHT = 40;
const PIXELS = WIDTH * HEIGHT;
const TAGS = { primaries: 'bt709', transfer: 'bt709' };

let folder: Awaited<ReturnType<typeof temporaryFolder>>;
beforeAll(async () => {
  folder = await temporaryFolder();
});
afterAll(() => folder.remove());

interface Case {
  readonly what: string;
  readonly pixelFormat: 'yuv420p10le' | 'gbrp10le';
  /** Codes of the planes, and what they are in the two frames from each of the leads on. */
  readonly off: readonly number[];
  readonly flashes: readonly { readonly codes: readonly number[]; readonly leads: readonly number[] }[];
  readonly outcome: Finding['outcome'];
  readonly events: readonly { readonly kind: string; readonly from: number; readonly to: number }[];
}

// The limits are those of tests/standards/flashes.test.ts: 20 cd/m2 at code 400 of narrow range, a red at
// code 323 of full.
const CASES: readonly Case[] = [
  {
    what: 'a hair below: four flashes of 19.91 cd/m2, and three of white',
    pixelFormat: 'yuv420p10le',
    off: [64, 512, 512],
    flashes: [
      { codes: [399, 512, 512], leads: [10, 15, 20, 25] },
      { codes: [940, 512, 512], leads: [60, 65, 70] },
    ],
    outcome: 'pass',
    events: [],
  },
  {
    what: 'a hair above: four flashes of white, and four of a dark saturated red',
    pixelFormat: 'gbrp10le',
    off: [0, 0, 0],
    flashes: [
      { codes: [1023, 1023, 1023], leads: [10, 15, 20, 25] },
      { codes: [0, 0, 323], leads: [60, 65, 70, 75] },
    ],
    outcome: 'fail',
    events: [
      { kind: 'flash', from: 10, to: 28 },
      { kind: 'red-flash', from: 60, to: 78 },
    ],
  },
];

describe('the screening of a file', () => {
  it.for(CASES)('$what', async ({ what, pixelFormat, off, flashes, outcome, events }) => {
    const isRgb = pixelFormat === 'gbrp10le';
    const planes = (codes: readonly number[]): number[][] =>
      codes.map((code, plane) => flat(code, isRgb || plane === 0 ? PIXELS : PIXELS / 4));
    const codesOf = (frame: number): readonly number[] =>
      flashes.find(({ leads }) => leads.includes(frame) || leads.includes(frame - 1))?.codes ?? off;
    const frames = Array.from({ length: 90 }, (_, frame) => planes(codesOf(frame)));
    const path = join(folder.path, `${what.slice(0, 6)}.mkv`);
    const colour = isRgb ? TAGS : { ...TAGS, matrix: 'bt709', range: 'tv' as const };
    await writeKnownClip(path, { width: WIDTH, height: HEIGHT, pixelFormat, frames, colour });
    const measurement = await measureFile(path);
    expect(measurement.flashes).not.toBeNull();
    expect(measurement.events.filter(({ kind }) => kind.endsWith('flash'))).toMatchObject(events);
    const require = requirementSet.parse({ flashes: {} });
    const { findings } = judge(measurement, { name: 't', require }, {});
    const finding = findings.find(({ requirement }) => requirement === 'flashes');
    expect(finding?.outcome).toBe(outcome);
    expect(finding?.at).toMatchObject(events.map(({ from, to }) => ({ from, to })));
  });
});
