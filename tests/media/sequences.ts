import { mkdirSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';

/**
 * Frames of picture sequences, written byte by byte after their standards and not by the program under test:
 * one colour each, so that a frame can be told by its codes.
 */
export interface DpxFrame {
  readonly width: number;
  readonly height: number;
  /** 10-bit code of all three components. */
  readonly code: number;
  /** BCD, as `0x01000000` for 01:00:00:00; absent: not defined. */
  readonly timecode?: number;
  readonly filmRate?: number;
  readonly televisionRate?: number;
  readonly aspect?: readonly [number, number];
  readonly littleEndian?: boolean;
}

const UNDEFINED = 0xffff_ffff;

/** SMPTE ST 268-1: header of 2,048 bytes, then R'G'B' in 10 bits, filled to words by method A. */
export function dpxFrame(frame: DpxFrame): Buffer {
  const { width, height, code, littleEndian = false } = frame;
  const bytes = Buffer.alloc(2_048 + 4 * width * height);
  // What is not defined is all ones.
  bytes.fill(0xff, 0, 2_048);
  const u16 = (at: number, value: number) =>
    littleEndian ? bytes.writeUInt16LE(value, at) : bytes.writeUInt16BE(value, at);
  const u32 = (at: number, value: number) =>
    littleEndian ? bytes.writeUInt32LE(value, at) : bytes.writeUInt32BE(value, at);
  const f32 = (at: number, value: number) =>
    littleEndian ? bytes.writeFloatLE(value, at) : bytes.writeFloatBE(value, at);
  bytes.write(littleEndian ? 'XPDS' : 'SDPX', 0, 'latin1');
  u32(4, 2_048);
  bytes.write('V2.0\0\0\0\0', 8, 'latin1');
  u32(16, bytes.length);
  u32(24, 1_664);
  u32(28, 384);
  u16(768, 0);
  u16(770, 1);
  u32(772, width);
  u32(776, height);
  u32(780, 0);
  bytes.writeUInt8(50, 800);
  bytes.writeUInt8(0, 801);
  bytes.writeUInt8(0, 802);
  bytes.writeUInt8(10, 803);
  u16(804, 1);
  u16(806, 0);
  u32(808, 2_048);
  u32(812, 0);
  u32(816, 0);
  u32(1_628, frame.aspect?.[0] ?? 1);
  u32(1_632, frame.aspect?.[1] ?? 1);
  if (frame.filmRate !== undefined) f32(1_724, frame.filmRate);
  u32(1_920, frame.timecode ?? UNDEFINED);
  bytes.writeUInt8(0, 1_928);
  if (frame.televisionRate !== undefined) f32(1_940, frame.televisionRate);
  const word = ((code << 22) | (code << 12) | (code << 2)) >>> 0;
  for (let at = 2_048; at < bytes.length; at += 4) u32(at, word);
  return bytes;
}

export interface ExrFrame {
  readonly width: number;
  readonly height: number;
  /** Linear light of R, G and B. */
  readonly light: readonly [number, number, number];
  readonly half?: boolean;
  readonly rate?: readonly [number, number];
  /** The first word of the attribute. */
  readonly timecode?: number;
  readonly chromaticities?: readonly number[];
  /** Number of the compression, which is only declared. */
  readonly compression?: number;
}

/** OpenEXR, one part of scan lines without compression, channels B, G and R ("OpenEXR File Layout"). */
export function exrFrame(frame: ExrFrame): Buffer {
  const { width, height, light, half = false, compression = 0 } = frame;
  const i32 = (...values: number[]) => {
    const bytes = Buffer.alloc(4 * values.length);
    values.forEach((value, index) => {
      bytes.writeInt32LE(value | 0, 4 * index);
    });
    return bytes;
  };
  const f32 = (...values: readonly number[]) => Buffer.from(Float32Array.from(values).buffer);
  const name = (text: string) => Buffer.from(`${text}\0`, 'latin1');
  const attribute = (title: string, type: string, value: Buffer) =>
    Buffer.concat([name(title), name(type), i32(value.length), value]);
  const channel = (title: string) => Buffer.concat([name(title), i32(half ? 1 : 2), i32(0), i32(1, 1)]);
  const box = i32(0, 0, width - 1, height - 1);
  const head = Buffer.concat([
    i32(20_000_630, 2),
    attribute('channels', 'chlist', Buffer.concat([channel('B'), channel('G'), channel('R'), Buffer.of(0)])),
    attribute('compression', 'compression', Buffer.of(compression)),
    attribute('dataWindow', 'box2i', box),
    attribute('displayWindow', 'box2i', box),
    attribute('lineOrder', 'lineOrder', Buffer.of(0)),
    attribute('pixelAspectRatio', 'float', f32(1)),
    attribute('screenWindowCenter', 'v2f', f32(0, 0)),
    attribute('screenWindowWidth', 'float', f32(1)),
    ...(frame.chromaticities === undefined
      ? []
      : [attribute('chromaticities', 'chromaticities', f32(...frame.chromaticities))]),
    ...(frame.rate === undefined ? [] : [attribute('framesPerSecond', 'rational', i32(...frame.rate))]),
    ...(frame.timecode === undefined ? [] : [attribute('timeCode', 'timecode', i32(frame.timecode, 0))]),
    Buffer.of(0),
  ]);
  const sample = half ? 2 : 4;
  const line = Buffer.alloc(3 * width * sample);
  [light[2], light[1], light[0]].forEach((value, plane) => {
    for (let x = 0; x < width; x++) {
      const at = (plane * width + x) * sample;
      if (half) line.writeUInt16LE(halfOf(value), at);
      else line.writeFloatLE(value, at);
    }
  });
  const block = 8 + line.length;
  const offsets = Buffer.alloc(8 * height);
  for (let y = 0; y < height; y++) {
    offsets.writeBigUInt64LE(BigInt(head.length + offsets.length + y * block), 8 * y);
  }
  const lines = Array.from({ length: height }, (_, y) => Buffer.concat([i32(y, line.length), line]));
  return Buffer.concat([head, offsets, ...lines]);
}

/** IEEE 754 binary16 of a number that it holds exactly or nearly: cut, not rounded. */
export function halfOf(value: number): number {
  const bits = new Uint32Array(Float32Array.of(value).buffer)[0] ?? 0;
  const exponent = ((bits >>> 23) & 0xff) - 127 + 15;
  const sign = (bits >>> 16) & 0x8000;
  if (exponent <= 0) return sign;
  return sign | (exponent << 10) | ((bits >>> 13) & 0x3ff);
}

export function place(path: string, content: Buffer): void {
  mkdirSync(dirname(path), { recursive: true });
  writeFileSync(path, content);
}
