import type { PrimariesName } from '../../signal/gamut/gamuts.js';
import type { Rational } from '../../signal/rational.js';
import type { TransferName } from '../../signal/transfer/transfer-functions.js';

export type PictureKind = 'dpx' | 'exr' | 'tiff';

/** What the header of one frame declares; null where it does not, or where its format has no place for it. */
export interface FrameHeader {
  readonly kind: PictureKind;
  readonly width: number;
  readonly height: number;
  /** Bits of a sample. */
  readonly bitDepth: number;
  /** What a sample is, in words: `10-bit integers`, `half floats`. Frames of one sequence have one. */
  readonly samples: string;
  /** Frames a second. */
  readonly rate: Rational | null;
  /** `01:00:00:00`, `;` before the frames for drop frame. */
  readonly timecode: string | null;
  /** Width to height of one sample. */
  readonly sampleAspect: Rational | null;
  readonly transfer: TransferName | null;
  readonly primaries: PrimariesName | null;
  readonly interlaced: boolean;
  /** Bytes the file has by its own header. */
  readonly fileBytes: number | null;
  /** Why ffmpeg does not decode it as it is meant; null where it does. */
  readonly refused: string | null;
}

/** Faults of a header, in words that follow the name of the file: `its header is cut short`. */
export class HeaderFault extends Error {}

/** The head of a file, read with bounds: what lies beyond it is a fault, never a crash. */
export class HeaderBytes {
  readonly #view: DataView;
  readonly littleEndian: boolean;

  constructor(bytes: Uint8Array, littleEndian: boolean) {
    this.#view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    this.littleEndian = littleEndian;
  }

  get length(): number {
    return this.#view.byteLength;
  }

  u8(at: number): number {
    return this.#within(at, 1, () => this.#view.getUint8(at));
  }

  u16(at: number): number {
    return this.#within(at, 2, () => this.#view.getUint16(at, this.littleEndian));
  }

  u32(at: number): number {
    return this.#within(at, 4, () => this.#view.getUint32(at, this.littleEndian));
  }

  i32(at: number): number {
    return this.#within(at, 4, () => this.#view.getInt32(at, this.littleEndian));
  }

  f32(at: number): number {
    return this.#within(at, 4, () => this.#view.getFloat32(at, this.littleEndian));
  }

  /** Text to the next NUL, at most `most` characters. */
  text(at: number, most: number): string {
    let text = '';
    for (let i = 0; i < most; i++) {
      const code = this.u8(at + i);
      if (code === 0) return text;
      text += String.fromCharCode(code);
    }
    return text;
  }

  #within(at: number, bytes: number, read: () => number): number {
    if (at < 0 || at + bytes > this.length) throw new HeaderFault('its header is cut short');
    return read();
  }
}

/**
 * Hours to frames in binary coded decimal, the highest byte first (SMPTE ST 12-1); null where a digit is
 * none.
 */
export function bcdTimecode(bits: number, dropFrame: boolean): string | null {
  const hex = bits.toString(16).padStart(8, '0');
  if (!/^\d{8}$/.test(hex)) return null;
  const [hours, minutes, seconds, frames] = [0, 2, 4, 6].map((at) => hex.slice(at, at + 2));
  if (Number(hours) > 23 || Number(minutes) > 59 || Number(seconds) > 59) return null;
  return `${hours}:${minutes}:${seconds}${dropFrame ? ';' : ':'}${frames}`;
}
