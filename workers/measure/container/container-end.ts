import { type FileHandle, open } from 'node:fs/promises';

/**
 * Whether a file ends where its container declares. A decoder notices a missing end only when it needs the
 * missing data; the outermost structure of most containers has a length, which reveals a file cut by a single
 * byte.
 */
export type ContainerEnd =
  /** The structure ends with the file, or before it. */
  | 'whole'
  /** The structure extends past the end of the file. */
  | 'cut'
  /** This container does not declare its end. */
  | 'unsaid';

type Reader = (position: number, length: number) => Promise<Buffer>;

/**
 * Never throws: the decoder reports a file that cannot be read. `format` is ffprobe's demuxer name
 * list.
 */
export async function containerEnd(path: string, format: string, bytes: number): Promise<ContainerEnd> {
  let handle: FileHandle | null = null;
  try {
    handle = await open(path, 'r');
    const file = handle;
    const read: Reader = async (position, length) => {
      const buffer = Buffer.alloc(length);
      const { bytesRead } = await file.read(buffer, 0, length, position);
      return buffer.subarray(0, bytesRead);
    };
    const names = format.split(',');
    if (names.includes('mov') || names.includes('mp4')) return await boxesEnd(read, bytes);
    if (names.includes('matroska') || names.includes('webm')) return await ebmlEnd(read, bytes);
    if (names.includes('wav') || names.includes('avi')) return await riffEnd(read, bytes);
    if (names.includes('mxf')) return await mxfEnd(read, bytes);
    if (names.includes('dv')) return await difEnd(read, bytes);
    if (names.includes('ogg')) return await oggEnd(read, bytes);
    if (names.includes('flv')) return await flvEnd(read, bytes);
    if (names.includes('mpeg')) return await codeEnd(read, bytes, PROGRAM_END);
    if (names.includes('mpegvideo')) return await codeEnd(read, bytes, SEQUENCE_END);
    if (names.includes('aiff') || names.includes('w64') || names.includes('au'))
      return await soundEnd(read, bytes);
    if (names.includes('mpegts'))
      return bytes % 188 === 0 || bytes % 192 === 0 || bytes % 204 === 0 ? 'unsaid' : 'cut';
    return 'unsaid';
  } catch {
    return 'unsaid';
  } finally {
    await handle?.close();
  }
}

/**
 * ISO/IEC 14496-12, clause 4.2: a chain of boxes of 32 or 64-bit size. A chain of fragments
 * may end after any of them: only a list of them at the end (clause 8.8.9) shows that none is missing.
 */
async function boxesEnd(read: Reader, bytes: number): Promise<ContainerEnd> {
  let position = 0;
  let last = '';
  let hasFragments = false;
  while (position < bytes) {
    const header = await read(position, 16);
    if (header.length < 8) return 'cut';
    let size = header.readUInt32BE(0);
    const type = header.toString('latin1', 4, 8);
    if (size === 1) {
      if (header.length < 16) return 'cut';
      size = Number(header.readBigUInt64BE(8));
    }
    // Below 8 it is no box: junk after the last one, which loses nothing.
    if (size !== 0 && size < 8) break;
    hasFragments ||= type === 'moof';
    last = type;
    // To the end of the file, wherever that is.
    if (size === 0) return 'unsaid';
    position += size;
  }
  if (position > bytes) return 'cut';
  return hasFragments && last !== 'mfra' ? 'unsaid' : 'whole';
}

const EBML_HEADER = 0x1a45dfa3;
const MATROSKA_SEGMENT = 0x18538067;

/** RFC 8794 and RFC 9559: the EBML header, then a Segment whose size may be unknown (all ones). */
async function ebmlEnd(read: Reader, bytes: number): Promise<ContainerEnd> {
  let position = 0;
  while (position < bytes) {
    const header = await read(position, 12);
    const id = header.length >= 4 ? header.readUInt32BE(0) : 0;
    if (id !== EBML_HEADER && id !== MATROSKA_SEGMENT) return position === 0 ? 'unsaid' : 'whole';
    const size = vintOf(header.subarray(4));
    if (size === null) return header.length < 12 ? 'cut' : 'unsaid';
    position += 4 + size.length + size.value;
  }
  return position === bytes ? 'whole' : 'cut';
}

function vintOf(data: Buffer): { readonly value: number; readonly length: number } | null {
  const first = data[0];
  if (first === undefined || first === 0) return null;
  const length = Math.clz32(first) - 23;
  if (data.length < length) return null;
  let value = first & (0xff >> length);
  let unknown = value === 0xff >> length;
  for (let i = 1; i < length; i++) {
    const byte = data[i] ?? 0;
    unknown &&= byte === 0xff;
    value = value * 256 + byte;
  }
  return unknown ? null : { value, length };
}

/** RIFF and RF64: one chunk around the whole file; RF64 has the length in its ds64 chunk (EBU Tech 3306). */
async function riffEnd(read: Reader, bytes: number): Promise<ContainerEnd> {
  let position = 0;
  // AVI of more than 1 GB is several RIFF chunks in a row (OpenDML).
  while (position < bytes) {
    const header = await read(position, 28);
    const name = header.toString('latin1', 0, 4);
    if (name !== 'RIFF' && name !== 'RF64' && name !== 'BW64') return position === 0 ? 'unsaid' : 'whole';
    if (header.length < 28) return 'cut';
    const size = header.readUInt32LE(4);
    const isLong = size === 0xffffffff;
    // A size of 0 or all ones in plain RIFF is a file written to a pipe: its size is not declared.
    if (size === 0 || (isLong && name === 'RIFF')) return 'unsaid';
    position += 8 + (isLong ? Number(header.readBigUInt64LE(20)) : size);
    if (position % 2 === 1 && position < bytes) position++;
  }
  return position === bytes ? 'whole' : 'cut';
}

/** Bytes of a DIF sequence: 150 blocks of 80. */
const DIF_SEQUENCE = 12_000;

/**
 * A raw DV stream is frames of 10 (525-line systems) or 12 (625-line) DIF sequences, or of a multiple of
 * them; the top bit of the fourth byte tells which (SMPTE ST 314, header section; from memory, checked by
 * encoded files in the tests). It declares no end.
 */
async function difEnd(read: Reader, bytes: number): Promise<ContainerEnd> {
  const header = await read(0, 4);
  // Section type 0: a header block.
  if (header.length < 4 || (header[0] ?? 0) >> 5 !== 0) return 'unsaid';
  const sequences = ((header[3] ?? 0) & 0x80) === 0 ? 10 : 12;
  return bytes % (sequences * DIF_SEQUENCE) === 0 ? 'unsaid' : 'cut';
}

/** SMPTE ST 377-1: partition packs have this key, then kind and status. */
const PARTITION_KEY = Buffer.from('060e2b34020501010d01020101', 'hex');
const PARTITION_KEY_LENGTH = 16;
/**
 * Offset of FooterPartition in a partition pack's value: versions 4, KAG 4, ThisPartition 8,
 * PreviousPartition 8.
 */
const FOOTER_OFFSET = 24;

async function mxfEnd(read: Reader, bytes: number): Promise<ContainerEnd> {
  const head = await read(0, 65_536);
  const start = head.indexOf(PARTITION_KEY);
  if (start < 0) return 'unsaid';
  const length = berOf(head.subarray(start + PARTITION_KEY_LENGTH));
  if (!length) return 'unsaid';
  const footer = Number(head.readBigUInt64BE(start + PARTITION_KEY_LENGTH + length.length + FOOTER_OFFSET));
  // 0: the header was never completed, or the footer is found by the index at the very end only.
  if (footer === 0) return 'unsaid';
  let position = start + footer;
  while (position < bytes) {
    const key = await read(position, 25);
    const size = berOf(key.subarray(PARTITION_KEY_LENGTH));
    if (!size) return 'cut';
    position += PARTITION_KEY_LENGTH + size.length + size.value;
  }
  return position === bytes && position > start + footer ? 'whole' : 'cut';
}

function berOf(data: Buffer): { readonly value: number; readonly length: number } | null {
  const first = data[0];
  if (first === undefined) return null;
  if (first < 0x80) return { value: first, length: 1 };
  const count = first & 0x7f;
  if (count < 1 || count > 8 || data.length < 1 + count) return null;
  let value = 0;
  for (let i = 1; i <= count; i++) value = value * 256 + (data[i] ?? 0);
  return { value, length: 1 + count };
}

const OGG_PAGE = Buffer.from('OggS', 'latin1');
const LAST_PAGE = 4;
/** Pages are 64 KB at most; those that end the streams of a file are close together. */
const OGG_TAIL = 256 * 1024;

/**
 * RFC 3533, clause 6: the last page of each stream has a flag. A recording that was interrupted has none and
 * declares no end.
 */
async function oggEnd(read: Reader, bytes: number): Promise<ContainerEnd> {
  const tail = await read(Math.max(0, bytes - OGG_TAIL), Math.min(OGG_TAIL, bytes));
  const isLast = new Map<number, boolean>();
  let end = tail.length;
  for (let at = tail.indexOf(OGG_PAGE); at >= 0; at = tail.indexOf(OGG_PAGE, at + 4)) {
    const page = tail.subarray(at);
    const segments = page[26];
    if (segments === undefined || page.length < 27 + segments) return 'cut';
    const body = page.subarray(27, 27 + segments).reduce((sum, size) => sum + size, 0);
    end = at + 27 + segments + body;
    isLast.set(page.readUInt32LE(14), ((page[5] ?? 0) & LAST_PAGE) !== 0);
  }
  if (end > tail.length) return 'cut';
  return isLast.size > 0 && [...isLast.values()].every(Boolean) ? 'whole' : 'unsaid';
}

/**
 * The size of the file in the metadata of FLV: a name, then type 0 (a number) and a double (AMF 0;
 * from memory).
 */
async function flvEnd(read: Reader, bytes: number): Promise<ContainerEnd> {
  const head = await read(0, 4096);
  const at = head.indexOf('filesize', 0, 'latin1');
  if (at < 0 || at + 17 > head.length || head[at + 8] !== 0) return 'unsaid';
  const size = head.readDoubleBE(at + 9);
  if (!(size > 0)) return 'unsaid';
  return bytes >= size ? 'whole' : 'cut';
}

/**
 * Codes that end a program stream (ISO/IEC 13818-1, 2.5.3) and a sequence of MPEG-2 (ITU-T H.262, 6.2.1);
 * both may be left out.
 */
const PROGRAM_END = 0x1b9;
const SEQUENCE_END = 0x1b7;

async function codeEnd(read: Reader, bytes: number, code: number): Promise<ContainerEnd> {
  const last = await read(Math.max(0, bytes - 4), 4);
  return last.length === 4 && last.readUInt32BE(0) === code ? 'whole' : 'unsaid';
}

/**
 * One chunk round the whole file, whose size is at its head: AIFF, Wave64 and AU (from memory, checked by
 * muxed files in the tests).
 */
async function soundEnd(read: Reader, bytes: number): Promise<ContainerEnd> {
  const head = await read(0, 24);
  if (head.length < 24) return 'unsaid';
  const name = head.toString('latin1', 0, 4);
  // AU: where the samples begin, and how many bytes they are; all ones: not known.
  const size =
    name === 'FORM'
      ? 8 + head.readUInt32BE(4)
      : name === 'riff'
        ? Number(head.readBigUInt64LE(16))
        : name === '.snd' && head.readUInt32BE(8) !== 0xffffffff
          ? head.readUInt32BE(4) + head.readUInt32BE(8)
          : 0;
  if (size < 24) return 'unsaid';
  return bytes >= size ? 'whole' : 'cut';
}
