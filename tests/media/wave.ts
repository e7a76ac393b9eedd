/** Broadcast Wave files, written byte by byte: EBU Tech 3285 (bext), EBU Tech 3306 (RF64). */

export interface Chunk {
  readonly id: string;
  readonly data: Buffer;
  /** States another size than it has. */
  readonly size?: number;
}

export function waveFile(
  before: readonly Chunk[],
  after: readonly Chunk[] = [],
  {
    form = 'RIFF',
    sampleRate = 48_000,
    samples = 4_800,
    sound = new Int16Array(samples),
  }: { form?: string; sampleRate?: number; samples?: number; sound?: Int16Array } = {},
): Buffer {
  const is64 = form !== 'RIFF';
  const format = Buffer.alloc(16);
  format.writeUInt16LE(1, 0);
  format.writeUInt16LE(1, 2);
  format.writeUInt32LE(sampleRate, 4);
  format.writeUInt32LE(sampleRate * 2, 8);
  format.writeUInt16LE(2, 12);
  format.writeUInt16LE(16, 14);
  const data = Buffer.from(sound.buffer, sound.byteOffset, sound.byteLength);
  const rest: Chunk[] = [
    { id: 'fmt ', data: format },
    ...before,
    { id: 'data', data, ...(is64 ? { size: 0xffff_ffff } : {}) },
    ...after,
  ];
  const large = Buffer.alloc(28);
  large.writeBigUInt64LE(BigInt(data.length), 8);
  large.writeBigUInt64LE(BigInt(sound.length), 16);
  const body = Buffer.concat((is64 ? [{ id: 'ds64', data: large }, ...rest] : rest).map(chunkBytes));
  if (is64) body.writeBigUInt64LE(BigInt(body.length + 4), 8);
  const head = Buffer.from(`${form}....WAVE`, 'latin1');
  head.writeUInt32LE(is64 ? 0xffff_ffff : body.length + 4, 4);
  return Buffer.concat([head, body]);
}

function chunkBytes({ id, data, size = data.length }: Chunk): Buffer {
  const head = Buffer.from(`${id}....`, 'latin1');
  head.writeUInt32LE(size, 4);
  return Buffer.concat([head, data, Buffer.alloc(data.length % 2)]);
}

/** EBU Tech 3285, 2.3: 602 bytes, of which 320 to 329 are OriginationDate, 338 to 345 the time reference. */
export function bext(timeReference: number | bigint, date = ''): Chunk {
  const data = Buffer.alloc(602);
  data.write('Take of a test', 0, 'latin1');
  data.write(date, 320, 'latin1');
  data.writeBigUInt64LE(BigInt(timeReference), 338);
  return { id: 'bext', data };
}

export function ixml(inside: string): Chunk {
  return {
    id: 'iXML',
    data: Buffer.from(`<?xml version="1.0" encoding="UTF-8"?><BWFXML>${inside}</BWFXML>`),
  };
}
