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
  ['lines from bottom to top', 769, 2, /top left/],
  ['padded lines', 815, 4, /4 bytes of padding/],
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

// ffmpeg writes the directory and its values after the picture. Bits of each format: `ffmpeg -pix_fmts`.
it.each([
  ['rgb48le', 16, 8, 16, 'within the first bytes'],
  ['rgb48le', 160, 90, 16, 'after the picture'],
  ['rgb24', 320, 180, 8, 'after the picture'],
])('reads TIFF of %s, %i x %i: %i bits (its directory lies %s)', async (format, width, height, bits) => {
  const path = join(folder, 'one.tiff');
  const picture = ['-f', 'lavfi', '-i', `color=red:s=${width}x${height}`, '-frames:v', '1'];
  const form = ['-pix_fmt', format, '-compression_algo', 'raw'];
  execFileSync('ffmpeg', ['-v', 'error', '-y', ...picture, ...form, path]);
  expect(await readHeader(path)).toEqual({
    ...{ kind: 'tiff', width, height, bitDepth: bits, samples: `3 × ${bits}-bit integers`, refused: null },
    ...{ rate: null, timecode: null, sampleAspect: null, transfer: null, primaries: null },
    ...{ interlaced: false, fileBytes: null },
  });
});

/** TIFF 6.0, section 2, of SHORT values: those that fit in no entry lie before the directory, far in. */
function tiff(tags: Readonly<Record<number, readonly number[]>>): Buffer {
  const entries = Object.entries(tags);
  const [values, directory] = [80_000, 90_000];
  const bytes = Buffer.alloc(directory + 2 + 12 * entries.length + 4);
  bytes.write('II*\0', 'latin1');
  bytes.writeUInt32LE(directory, 4);
  bytes.writeUInt16LE(entries.length, directory);
  for (const [index, [tag, list]] of entries.entries()) {
    const at = directory + 2 + 12 * index;
    const outside = values + 100 * index;
    bytes.writeUInt16LE(Number(tag), at);
    bytes.writeUInt16LE(3, at + 2);
    bytes.writeUInt32LE(list.length, at + 4);
    if (list.length > 2) bytes.writeUInt32LE(outside, at + 8);
    for (const [place, value] of list.entries()) {
      bytes.writeUInt16LE(value, (list.length > 2 ? outside : at + 8) + 2 * place);
    }
  }
  return bytes;
}

const picture = { 256: [16], 257: [8], 258: [16, 16, 16], 277: [3] };

it('refuses TIFF of floats, of turned lines, and DNG, wherever they are declared', async () => {
  expect((await headerOf(tiff(picture))).refused).toBe(null);
  expect((await headerOf(tiff({ ...picture, 339: [3, 3, 3] }))).refused).toMatch(/floats/);
  expect((await headerOf(tiff({ ...picture, 274: [3] }))).refused).toMatch(/top left/);
  expect((await headerOf(tiff({ ...picture, 274: [1] }))).refused).toBeNull();
  expect((await headerOf(tiff({ ...picture, 50706: [1, 4, 0] }))).refused).toMatch(/DNG/);
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
  ['TIFF without the bits of a sample', tiff({ 256: [16], 257: [8], 277: [3] })],
  ['TIFF of unlike samples', tiff({ ...picture, 258: [5, 6, 5] })],
  ['TIFF with more values than samples', tiff({ ...picture, 258: Array<number>(65).fill(8) })],
  ['TIFF cut in its directory', tiff(picture).subarray(0, 90_020)],
  ['TIFF that points outside', Buffer.from('49492a00ffffff7f', 'hex')],
])('tells %s from a header, and never hangs or crashes', async (_, content) => {
  await expect(headerOf(content)).rejects.toBeInstanceOf(HeaderFault);
});
