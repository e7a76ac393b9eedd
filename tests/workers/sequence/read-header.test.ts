import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { HeaderFault } from '../../../workers/sequence/frame-header.js';
import { readHeader } from '../../../workers/sequence/read-header.js';
import { type DpxFrame, dpxFrame, type ExrFrame, exrFrame } from '../../media/sequences.js';

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'goodgate-headers-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const size = { width: 16, height: 8 };

function headerOf(content: Buffer) {
  const path = join(folder, 'frame');
  writeFileSync(path, content);
  return readHeader(path);
}

// The fields and their places: SMPTE ST 268-1:2014, tables 1 to 5, and ST 12-1 for the digits of a timecode.
it.each<[string, Partial<DpxFrame>, object]>([
  ['nothing beyond the picture', {}, { rate: null, timecode: null, sampleAspect: { num: 1, den: 1 } }],
  ['a rate of film', { filmRate: 24 }, { rate: { num: 24, den: 1 } }],
  ['a rate of television', { televisionRate: 23.976025 }, { rate: { num: 24_000, den: 1001 } }],
  ['both: that of television', { filmRate: 24, televisionRate: 25 }, { rate: { num: 25, den: 1 } }],
  ['a rate of no standard', { filmRate: 18 }, { rate: { num: 18, den: 1 } }],
  ['a timecode', { timecode: 0x1023_4517 }, { timecode: '10:23:45:17' }],
  ['digits that are none', { timecode: 0x10aa_4517 }, { timecode: null }],
  ['a squeezed picture', { aspect: [2, 1] }, { sampleAspect: { num: 2, den: 1 } }],
  ['the other byte order', { littleEndian: true, filmRate: 24 }, { rate: { num: 24, den: 1 }, width: 16 }],
])('reads of DPX %s', async (_, changes, expected) => {
  const found = await headerOf(dpxFrame({ ...size, code: 100, ...changes }));
  expect(found).toMatchObject({ kind: 'dpx', ...size, bitDepth: 10, refused: null, ...expected });
});

it.each([
  ['floats', 803, 32, /32 bits/],
  ['run lengths', 807, 1, /run-length/],
  ['two elements', 771, 2, /only the first/],
])('refuses DPX that ffmpeg does not decode: %s', async (_, at, value, reason) => {
  const bytes = dpxFrame({ ...size, code: 100 });
  bytes.writeUInt8(value, at);
  expect((await headerOf(bytes)).refused).toMatch(reason);
});

// AP0: SMPTE ST 2065-1:2021, table 1. Timecode: "Standard Attributes" of OpenEXR, flags between the digits.
const AP0 = [0.7347, 0.2653, 0, 1, 0.0001, -0.077, 0.32168, 0.33767];
it.each<[string, Partial<ExrFrame>, object]>([
  ['half floats', { half: true }, { bitDepth: 16, primaries: 'bt709', transfer: 'linear', rate: null }],
  ['floats', {}, { bitDepth: 32, samples: '32-bit floats, channels B, G, R' }],
  ['a rate', { rate: [24_000, 1001] }, { rate: { num: 24_000, den: 1001 } }],
  ['its primaries', { chromaticities: AP0 }, { primaries: 'AP0' }],
  ['primaries without a name', { chromaticities: AP0.map((value) => value * 0.9) }, { primaries: null }],
  ['a timecode', { timecode: 0x0102_0304 }, { timecode: '01:02:03:04' }],
  ['drop frame', { timecode: 0x0102_0344 }, { timecode: '01:02:03;04' }],
])('reads of OpenEXR %s', async (_, changes, expected) => {
  const found = await headerOf(exrFrame({ ...size, light: [0.18, 0.18, 0.18], ...changes }));
  expect(found).toMatchObject({ kind: 'exr', ...size, refused: null, ...expected });
});

it('refuses OpenEXR that ffmpeg does not decode', async () => {
  const header = await headerOf(exrFrame({ ...size, light: [1, 1, 1], compression: 9 }));
  expect(header.refused).toMatch(/DWAB/);
});

it.each(['ii', 'dng'])('reads TIFF (%s)', async (kind) => {
  const path = join(folder, 'one.tiff');
  const picture = ['-f', 'lavfi', '-i', 'color=red:s=16x8', '-frames:v', '1', '-pix_fmt', 'rgb48le'];
  execFileSync('ffmpeg', ['-v', 'error', '-y', ...picture, path]);
  const found = await readHeader(path);
  expect(found).toMatchObject({ kind: 'tiff', ...size, bitDepth: 16, rate: null, timecode: null });
  expect(kind === 'ii' ? found.refused : null).toBe(null);
});

it.each([
  ['nothing', Buffer.alloc(0)],
  ['text', Buffer.from('no picture at all')],
  ['DPX cut in its header', dpxFrame({ ...size, code: 1 }).subarray(0, 700)],
  ['OpenEXR cut in its header', exrFrame({ ...size, light: [1, 1, 1] }).subarray(0, 60)],
  [
    'OpenEXR with an attribute of 4 GB',
    Buffer.concat([Buffer.from('762f310102000000', 'hex'), Buffer.from('a\0b\0'), Buffer.alloc(4, 0xff)]),
  ],
  ['TIFF that points outside', Buffer.from('49492a00ffffff7f', 'hex')],
])('tells %s from a header, and never hangs or crashes', async (_, content) => {
  await expect(headerOf(content)).rejects.toBeInstanceOf(HeaderFault);
});
