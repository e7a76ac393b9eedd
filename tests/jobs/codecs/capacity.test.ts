import { expect, it } from 'vitest';
import { mediumFor, RECORDED_FORMS, readSize, recordedBitRate } from '../../../jobs/codecs/capacity.js';

/** Target rates in Mbit/s of SMPTE RDD 36, HD and UHD at 30000/1001 (published-values J). */
const PUBLISHED: readonly (readonly [profile: string, hd: number, uhd: number])[] = [
  ['proxy', 45, 182],
  ['lt', 102, 410],
  ['standard', 147, 589],
  ['hq', 220, 884],
  ['4444', 330, 1326],
  ['4444xq', 500, 1989],
];

it.each(PUBLISHED)('ProRes %s comes to its published rates', (profile, hd, uhd) => {
  const form = RECORDED_FORMS.find((each) => each.profile === profile);
  if (form === undefined) throw new Error('no such form');
  const megabits = (width: number, height: number): number =>
    recordedBitRate(form, { width, height }, 30_000 / 1001, 0) / 1e6;
  expect(megabits(1920, 1080)).toBeCloseTo(hd, 6);
  expect(megabits(3840, 2160)).toBeCloseTo(uhd, 6);
});

it('sound is 24 bits at 48 kHz a channel', () => {
  const [form] = RECORDED_FORMS;
  if (form === undefined) throw new Error('no form');
  const raster = { width: 1920, height: 1080 };
  expect(recordedBitRate(form, raster, 25, 8) - recordedBitRate(form, raster, 25, 0)).toBe(8 * 1_152_000);
});

it('a size is decimal, or binary where it says so', () => {
  expect(['1TB', '512 GB', '1.5tb', '1TiB', '64GiB'].map(readSize)).toEqual([
    ...[1e12, 512e9, 1.5e12, 2 ** 40, 64 * 2 ** 30],
  ]);
  for (const wrong of ['', '1', 'TB', '0GB', '-1TB', '1e3GB', '1 KB', '1TB '])
    expect(readSize(wrong)).toBeNull();
});

it('the medium is the smallest that holds it', () => {
  expect([1, 64e9, 64e9 + 1, 1.2e12].map(mediumFor)).toEqual([64e9, 64e9, 128e9, 2e12]);
  expect(mediumFor(1e15)).toBeNull();
});
