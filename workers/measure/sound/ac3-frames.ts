import type { CodedLoudness } from '../../../jobs/measurement/measured-sound.js';

/**
 * Bit rates of AC-3 frames, kbit/s, by half of frmsizecod, and sample rates by fscod (ATSC A/52, table 5.18
 * and 5.6; from memory, checked by encoded files in the tests).
 */
const KBITS = [
  32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320, 384, 448, 512, 576, 640,
] as const;
const SAMPLE_RATES = [48_000, 44_100, 32_000] as const;
const FRAME_SAMPLES = 1536;
const SYNC_WORD = 0x0b77;
/** Bytes of the header that are read, from the sync word on. */
const HEADER_BYTES = 8;
/** Largest bsid of AC-3; 11 to 16 are E-AC-3 (A/52, annex E). */
const LAST_AC3_BSID = 10;
const LAST_EAC3_BSID = 16;

interface FrameHeader {
  readonly bytes: number;
  /** As coded, 0 to 31; 0 is reserved. */
  readonly dialnorm: number;
  /** Part of the programme a decoder plays: the first independent substream. */
  readonly isMain: boolean;
  /** Two programmes in one frame, each with a level of its own. */
  readonly isDual: boolean;
}

/**
 * Reads the dialogue level (dialnorm) from each frame of an AC-3 or E-AC-3 stream that comes in pieces of any
 * size. Frames must be contiguous: there is no search, and data that does not begin with a sync word ends the
 * reading.
 */
export class Ac3Frames {
  #rest: Buffer = Buffer.alloc(0);
  /** Bytes of the current frame that are still to come. */
  #skip = 0;
  #isBroken = false;
  #isDual = false;
  /** Frames by dialnorm as coded. */
  readonly #frames = new Uint32Array(32);

  push(chunk: Buffer): void {
    let data = this.#rest.length === 0 ? chunk : Buffer.concat([this.#rest, chunk]);
    while (!this.#isBroken) {
      const passed = Math.min(this.#skip, data.length);
      data = data.subarray(passed);
      this.#skip -= passed;
      if (this.#skip > 0 || data.length < HEADER_BYTES) break;
      const header = readHeader(data);
      if (header === null) {
        this.#isBroken = true;
        break;
      }
      if (header.isMain) this.#frames[header.dialnorm] = (this.#frames[header.dialnorm] ?? 0) + 1;
      this.#isDual ||= header.isMain && header.isDual;
      this.#skip = header.bytes;
    }
    this.#rest = this.#isBroken ? Buffer.alloc(0) : Buffer.from(data);
  }

  /** The result, or in words why it is not reliable. */
  finish(): CodedLoudness | string {
    if (this.#isBroken) return 'a frame of the coded sound does not begin where the previous one ends';
    if (this.#skip > 0 || this.#rest.length > 0) return 'the last frame of the coded sound is incomplete';
    if (this.#isDual) return 'the stream has two programmes, each with its own dialogue level';
    const levels = [...this.#frames.entries()].flatMap(([dialnorm, frames]) =>
      frames > 0 && dialnorm > 0 ? [{ level: -dialnorm, frames }] : [],
    );
    const reserved = this.#frames[0] ?? 0;
    if (levels.length === 0 && reserved === 0) return 'the stream has no frame of a main programme';
    return { kind: 'dialnorm', levels, reservedFrames: reserved };
  }
}

/** Bit by bit as A/52 has it (5.3.1, 5.3.2; E-AC-3: annex E, E.1.2.2). Null where this is no frame. */
function readHeader(data: Buffer): FrameHeader | null {
  if (data.readUInt16BE(0) !== SYNC_WORD) return null;
  const bsid = data.readUInt8(5) >> 3;
  if (bsid <= LAST_AC3_BSID) return ac3Header(data);
  return bsid <= LAST_EAC3_BSID ? eac3Header(data) : null;
}

function ac3Header(data: Buffer): FrameHeader | null {
  const code = data.readUInt8(4);
  const rate = SAMPLE_RATES[code >> 6];
  const kbits = KBITS[(code & 63) >> 1];
  if (rate === undefined || kbits === undefined) return null;
  // Whole 16-bit words; at 44.1 kHz every other frame is a word longer. bsid 9 and 10 halve and quarter the
  // sample rate, and with it the bit rate: the frame keeps its size.
  const words = Math.floor((kbits * 1000 * FRAME_SAMPLES) / rate / 16) + (rate === 44_100 ? code & 1 : 0);
  const acmod = data.readUInt8(6) >> 5;
  // After acmod: centre mix level where there are three front channels, surround mix level where there are
  // surrounds, two bits for stereo alone; then the low-frequency channel's bit.
  const before =
    3 + ((acmod & 1) === 1 && acmod !== 1 ? 2 : 0) + ((acmod & 4) === 4 ? 2 : 0) + (acmod === 2 ? 2 : 0) + 1;
  const dialnorm = (data.readUInt16BE(6) >> (16 - before - 5)) & 31;
  return { bytes: words * 2, dialnorm, isMain: true, isDual: acmod === 0 };
}

function eac3Header(data: Buffer): FrameHeader {
  const streamType = data.readUInt8(2) >> 6;
  const substream = (data.readUInt8(2) >> 3) & 7;
  const acmod = (data.readUInt8(4) >> 1) & 7;
  return {
    bytes: ((data.readUInt16BE(2) & 0x7ff) + 1) * 2,
    dialnorm: (data.readUInt16BE(5) >> 6) & 31,
    // Type 1 depends on the stream before it.
    isMain: streamType !== 1 && substream === 0,
    isDual: acmod === 0,
  };
}
