/** Builds boxes of ISO/IEC 14496-12 byte by byte, and changes those of files that were written by others. */

export function box(type: string, ...content: readonly Buffer[]): Buffer {
  const body = Buffer.concat(content);
  return Buffer.concat([u32(body.length + 8), Buffer.from(type, 'latin1'), body]);
}
/** A box with version and flags. */
export function fullBox(type: string, version: number, ...content: readonly Buffer[]): Buffer {
  return box(type, u32(version * 2 ** 24), ...content);
}
export function u8(...values: readonly number[]): Buffer {
  return Buffer.from(values);
}
export function u16(...values: readonly number[]): Buffer {
  return Buffer.concat(values.map((value) => Buffer.from([value >> 8, value & 0xff])));
}
export function u32(...values: readonly number[]): Buffer {
  const buffer = Buffer.alloc(4 * values.length);
  values.forEach((value, i) => {
    buffer.writeUInt32BE(value >>> 0, 4 * i);
  });
  return buffer;
}
export function zeros(bytes: number): Buffer {
  return Buffer.alloc(bytes);
}

/**
 * Where the content of the first box of this type begins. Types that could occur in samples are not for this.
 */
export function contentOf(file: Buffer, type: string): number {
  const at = file.lastIndexOf(type, undefined, 'latin1');
  if (at < 0) throw new Error(`no box ${type}`);
  return at + 4;
}

/** Writes bytes over the content of a box. */
export function patched(file: Buffer, type: string, offset: number, bytes: Buffer): Buffer {
  const copy = Buffer.from(file);
  bytes.copy(copy, contentOf(file, type) + offset);
  return copy;
}

/** Bytes before the boxes in a container that has fields of its own. */
const FIELDS: Readonly<Record<string, number>> = { stsd: 8, avc1: 78, hvc1: 78, apch: 78, FFV1: 78 };

/** Puts a box in place of the one at the end of a path; under the conditions of `withBox`. */
export function withBoxReplaced(file: Buffer, path: readonly string[], other: Buffer): Buffer {
  const holders = holdersOf(file, path);
  const at = holders.pop() ?? 0;
  const old = file.readUInt32BE(at);
  const copy = Buffer.concat([file.subarray(0, at), other, file.subarray(at + old)]);
  for (const holder of holders) copy.writeUInt32BE(copy.readUInt32BE(holder) + other.length - old, holder);
  return copy;
}

/**
 * Puts a box at the end of what lies along the path (`moov`, `trak`, ...; the first of each type) and makes
 * all that hold it larger. The index must be the last box of the file: nothing before it then moves.
 */
export function withBox(file: Buffer, path: readonly string[], added: Buffer): Buffer {
  const holders = holdersOf(file, path);
  const last = holders.at(-1) ?? 0;
  const to = last + file.readUInt32BE(last);
  const copy = Buffer.concat([file.subarray(0, to), added, file.subarray(to)]);
  for (const at of holders) copy.writeUInt32BE(copy.readUInt32BE(at) + added.length, at);
  return copy;
}

/** Where each box along a path begins. */
function holdersOf(file: Buffer, path: readonly string[]): number[] {
  const holders: number[] = [];
  let [from, to] = [0, file.length];
  for (const type of path) {
    let at = from;
    while (at + 8 <= to && file.toString('latin1', at + 4, at + 8) !== type) at += file.readUInt32BE(at);
    if (at + 8 > to) throw new Error(`no box ${type}`);
    holders.push(at);
    to = at + file.readUInt32BE(at);
    from = at + 8 + (FIELDS[type] ?? 0);
  }
  return holders;
}
