import { type FrameHeader, HeaderBytes, HeaderFault } from './frame-header.js';

/** Tags of TIFF 6.0 (part 1, section 8; part 3, section 19) and, the last, of DNG. */
const TAG = {
  width: 256,
  height: 257,
  bits: 258,
  samplesPerPixel: 277,
  sampleFormat: 339,
  dngVersion: 50_706,
} as const;
/** Bytes of one value, by field type: SHORT and LONG are all that is read here. */
const SHORT = 3;
const MOST_ENTRIES = 4_096;

/** `II*\0` or `MM\0*`; 43 instead of 42 is the form for files above 4 GB. */
export function isTiff(head: Uint8Array): boolean {
  return /^(?:II[*+]\0|MM\0[*+])$/.test(Buffer.from(head.subarray(0, 4)).toString('latin1'));
}

/** Where the first directory lies: it may be anywhere in the file. */
export function tiffDirectory(head: Uint8Array): number {
  return bytesOf(head).u32(4);
}

/**
 * What a TIFF file declares in its first directory. The format has no place for a rate or a timecode.
 *
 * @param directory bytes of the file from the directory on
 * @param from where in the file they begin
 * @throws HeaderFault
 */
export function readTiff(head: Uint8Array, directory: Uint8Array, from: number): FrameHeader {
  const { littleEndian } = bytesOf(head);
  const isLarge = bytesOf(head).u16(2) === 43;
  const bytes = new HeaderBytes(directory, littleEndian);
  const values = isLarge ? new Map<number, number>() : valuesOf(bytes, from, bytesOf(head));
  const [width, height] = [values.get(TAG.width) ?? 0, values.get(TAG.height) ?? 0];
  const bitDepth = values.get(TAG.bits) ?? 1;
  const isFloat = values.get(TAG.sampleFormat) === 3;
  const isRaw = values.has(TAG.dngVersion);
  if (!isLarge && (width < 1 || height < 1)) throw new HeaderFault('its header declares no picture');
  return {
    ...{ kind: 'tiff', width, height, bitDepth },
    samples: `${values.get(TAG.samplesPerPixel) ?? 1} × ${bitDepth}-bit ${isFloat ? 'floats' : 'integers'}`,
    ...{ rate: null, timecode: null, sampleAspect: null, transfer: null, primaries: null },
    ...{ interlaced: false, fileBytes: null },
    refused: isLarge
      ? 'it is a TIFF file for more than 4 GB, which ffmpeg does not read'
      : isRaw
        ? 'it is a DNG: ffmpeg gives its sensor values without the white balance and colour it declares'
        : isFloat
          ? 'its samples are floats, which ffmpeg does not decode from TIFF'
          : null,
  };
}

function bytesOf(head: Uint8Array): HeaderBytes {
  return new HeaderBytes(head, head[0] === 0x49);
}

/** The first value of each tag; what lies in neither of the two pieces that were read is left out. */
function valuesOf(bytes: HeaderBytes, from: number, head: HeaderBytes): Map<number, number> {
  const entries = bytes.u16(0);
  if (entries > MOST_ENTRIES) throw new HeaderFault('its header has too many entries');
  const values = new Map<number, number>();
  for (let entry = 0; entry < entries; entry++) {
    const at = 2 + 12 * entry;
    const [tag, type, count] = [bytes.u16(at), bytes.u16(at + 2), bytes.u32(at + 4)];
    const size = type === SHORT ? 2 : 4;
    const read = (from: HeaderBytes, place: number): number =>
      type === SHORT ? from.u16(place) : from.u32(place);
    // Values that do not fit into the entry lie where it says.
    const place = bytes.u32(at + 8);
    if (size * count <= 4) values.set(tag, read(bytes, at + 8));
    else if (place + size <= head.length) values.set(tag, read(head, place));
    else if (place >= from && place + size - from <= bytes.length) values.set(tag, read(bytes, place - from));
  }
  return values;
}
