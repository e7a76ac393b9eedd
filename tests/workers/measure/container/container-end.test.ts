import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type ContainerEnd, containerEnd } from '../../../../workers/measure/container/container-end.js';
import { temporaryFolder } from '../../../media/known-clip.js';

let folder: Awaited<ReturnType<typeof temporaryFolder>>;
beforeAll(async () => {
  folder = await temporaryFolder();
});
afterAll(() => folder.remove());

const u32 = (value: number): Buffer => {
  const buffer = Buffer.alloc(4);
  buffer.writeUInt32BE(value);
  return buffer;
};
const u64 = (value: number): Buffer => {
  const buffer = Buffer.alloc(8);
  buffer.writeBigUInt64BE(BigInt(value));
  return buffer;
};
const le32 = (value: number): Buffer => u32(value).reverse();
const text = (value: string): Buffer => Buffer.from(value, 'latin1');
const box = (type: string, size: number): Buffer =>
  Buffer.concat([u32(size), text(type), Buffer.alloc(size - 8)]);
const longBox = (type: string, size: number): Buffer =>
  Buffer.concat([u32(1), text(type), u64(size), Buffer.alloc(size - 16)]);

const MOV = 'mov,mp4,m4a,3gp,3g2,mj2';
const MKV = 'matroska,webm';
const ebml = Buffer.concat([Buffer.from('1a45dfa384', 'hex'), Buffer.alloc(4)]);
const segment = (size: string, length: number): Buffer =>
  Buffer.concat([Buffer.from('18538067', 'hex'), Buffer.from(size, 'hex'), Buffer.alloc(length)]);

const partition = (footer: number): Buffer =>
  Buffer.concat([
    Buffer.from('060e2b34020501010d01020101020400', 'hex'),
    Buffer.from([0x83, 0, 0, 88]),
    Buffer.alloc(24),
    u64(footer),
    Buffer.alloc(88 - 32),
  ]);
const MXF_HEAD = 108;
const mxf = (footer: number): Buffer =>
  Buffer.concat([partition(footer), Buffer.alloc(100, 1), partition(0)]);

const dif = (fourth: string, bytes: number): Buffer =>
  Buffer.concat([Buffer.from(`1f0700${fourth}`, 'hex'), Buffer.alloc(bytes - 4)]);

/** A page of one packet of less than 255 bytes (RFC 3533). */
const ogg = (stream: number, flags: number, bytes: number): Buffer =>
  Buffer.concat([
    ...[text('OggS'), Buffer.from([0, flags]), Buffer.alloc(8), le32(stream), Buffer.alloc(8)],
    ...[Buffer.from([1, bytes]), Buffer.alloc(bytes, 7)],
  ]);
/** 100 bytes; the number after the name is a double. */
const flv = (size: number): Buffer => {
  const file = Buffer.concat([text('FLV'), Buffer.alloc(20), text('filesize'), Buffer.alloc(69)]);
  file.writeDoubleBE(size, 32);
  return file;
};

/** Each file whole; cut by its last byte it must be told, where its container says where it ends. */
const FILES: readonly (readonly [string, string, Buffer, ContainerEnd, ContainerEnd])[] = [
  ['DIF frames of 12 sequences', 'dv', dif('bf', 288_000), 'unsaid', 'cut'],
  ['DIF frames of 10 sequences', 'dv', dif('3f', 240_000), 'unsaid', 'cut'],
  ['no DIF header', 'dv', Buffer.alloc(1000, 255), 'unsaid', 'unsaid'],
  ['boxes', MOV, Buffer.concat([box('ftyp', 20), box('moov', 64), box('mdat', 500)]), 'whole', 'cut'],
  ['a 64-bit box', MOV, Buffer.concat([box('ftyp', 20), longBox('mdat', 500)]), 'whole', 'cut'],
  [
    'a box to the end',
    MOV,
    Buffer.concat([box('ftyp', 20), u32(0), text('mdat'), Buffer.alloc(50)]),
    'unsaid',
    'unsaid',
  ],
  [
    'fragments, and the list of them',
    MOV,
    Buffer.concat([box('moov', 64), box('moof', 40), box('mdat', 90), box('mfra', 30)]),
    'whole',
    'cut',
  ],
  ['fragments', MOV, Buffer.concat([box('moov', 64), box('moof', 40), box('mdat', 90)]), 'unsaid', 'cut'],
  ['the last pages of two Ogg streams', 'ogg', Buffer.concat([ogg(1, 4, 90), ogg(2, 4, 9)]), 'whole', 'cut'],
  [
    'Ogg, one stream without its last page',
    'ogg',
    Buffer.concat([ogg(1, 0, 90), ogg(2, 4, 9)]),
    'unsaid',
    'cut',
  ],
  ['a program stream with its end code', 'mpeg', Buffer.from('00000000000001b9', 'hex'), 'whole', 'unsaid'],
  ['a program stream', 'mpeg', Buffer.alloc(90, 1), 'unsaid', 'unsaid'],
  [
    'MPEG-2 with the code that ends a sequence',
    'mpegvideo',
    Buffer.from('00000000000001b7', 'hex'),
    'whole',
    'unsaid',
  ],
  ['FLV that states its size', 'flv', flv(100), 'whole', 'cut'],
  ['FLV that states none', 'flv', flv(0), 'unsaid', 'unsaid'],
  ['AIFF', 'aiff', Buffer.concat([text('FORM'), u32(92), text('AIFF'), Buffer.alloc(88)]), 'whole', 'cut'],
  [
    'Wave64',
    'w64',
    Buffer.concat([text('riff'), Buffer.alloc(12), u64(100).reverse(), Buffer.alloc(76)]),
    'whole',
    'cut',
  ],
  ['AU', 'au', Buffer.concat([text('.snd'), u32(24), u32(76), Buffer.alloc(88)]), 'whole', 'cut'],
  [
    'AU into a pipe',
    'au',
    Buffer.concat([text('.snd'), u32(24), u32(0xffffffff), Buffer.alloc(88)]),
    'unsaid',
    'unsaid',
  ],
  ['a Segment of known size', MKV, Buffer.concat([ebml, segment('c8', 72)]), 'whole', 'cut'],
  ['a Segment of 8-byte size', MKV, Buffer.concat([ebml, segment('0100000000000048', 72)]), 'whole', 'cut'],
  [
    'a Segment of unknown size',
    MKV,
    Buffer.concat([ebml, segment('01ffffffffffffff', 72)]),
    'unsaid',
    'unsaid',
  ],
  ['RIFF', 'wav', Buffer.concat([text('RIFF'), le32(92), text('WAVE'), Buffer.alloc(88)]), 'whole', 'cut'],
  [
    'RIFF into a pipe',
    'wav',
    Buffer.concat([text('RIFF'), le32(0xffffffff), Buffer.alloc(92)]),
    'unsaid',
    'unsaid',
  ],
  [
    'RF64',
    'wav',
    Buffer.concat([
      ...[text('RF64'), le32(0xffffffff), text('WAVE'), text('ds64'), le32(28)],
      ...[u64(92).reverse(), Buffer.alloc(72)],
    ]),
    'whole',
    'cut',
  ],
  ['MXF', 'mxf', mxf(MXF_HEAD + 100), 'whole', 'cut'],
  ['MXF that was never completed', 'mxf', mxf(0), 'unsaid', 'unsaid'],
  ['MXF without its footer', 'mxf', mxf(10_000), 'cut', 'cut'],
  ['transport packets', 'mpegts', Buffer.alloc(188 * 5, 0x47), 'unsaid', 'cut'],
  ['an elementary stream', 'h264', Buffer.alloc(100), 'unsaid', 'unsaid'],
  ['nothing of the kind', MKV, Buffer.alloc(100), 'unsaid', 'unsaid'],
];

describe('where a container ends', () => {
  it.each(FILES)('%s', async (name, format, bytes, whole, cut) => {
    const path = join(folder.path, name);
    await writeFile(path, bytes);
    expect(await containerEnd(path, format, bytes.length)).toBe(whole);
    await writeFile(path, bytes.subarray(0, -1));
    expect(await containerEnd(path, format, bytes.length - 1)).toBe(cut);
  });

  it('a box chain cut between two boxes is whole: the sample table must tell', async () => {
    const path = join(folder.path, 'between');
    await writeFile(path, box('ftyp', 20));
    expect(await containerEnd(path, MOV, 20)).toBe('whole');
  });

  it('never throws', async () => {
    expect(await containerEnd(join(folder.path, 'not there'), MOV, 1)).toBe('unsaid');
  });
});
