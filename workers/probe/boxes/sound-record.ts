import type { Box } from './walk-boxes.js';

/** What the record of a coded sound states; null: it does not speak of it. */
export interface SoundRecord {
  readonly channels: number;
  readonly sampleRate: number | null;
}

/**
 * Records of coded sound in MP4 and MOV, by the code of the sample entry: `dOps` (Encapsulation of Opus in
 * ISO Base Media File Format, 4.3.2), `dfLa` (Encapsulation of FLAC in ISO Base Media File Format, 3.3.2,
 * with the STREAMINFO of RFC 9639, 8.2) and the magic cookie of ALAC (a box `alac` in the entry of that name,
 * or within its `wave`). Opus always runs at 48 kHz, whatever rate its record remembers.
 */
export function soundRecord(data: Buffer, code: string, boxes: readonly Box[]): SoundRecord | null {
  const body = (type: string, length: number): Buffer | null => {
    const box = boxes.find((each) => each.type === type && each.end - each.body >= length);
    return box === undefined ? null : data.subarray(box.body, box.end);
  };
  if (code === 'Opus') {
    const dOps = body('dOps', 11);
    return dOps && { channels: dOps.readUInt8(1), sampleRate: null };
  }
  if (code === 'fLaC') {
    // Version and flags, the header of the first block, and 10 bytes of block and frame sizes.
    const dfLa = body('dfLa', 4 + 4 + 34);
    if (dfLa === null || (dfLa.readUInt8(4) & 0x7f) !== 0) return null;
    const packed = dfLa.readUInt32BE(18);
    return { channels: ((packed >>> 9) & 7) + 1, sampleRate: packed >>> 12 };
  }
  if (code !== 'alac') return null;
  // Version and flags, then the cookie: channels in its 10th byte, the rate in its last four.
  const cookie = body('alac', 4 + 24);
  return cookie && { channels: cookie.readUInt8(13), sampleRate: cookie.readUInt32BE(24) };
}
