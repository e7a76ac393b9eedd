import { type FrameHeader, HeaderBytes, HeaderFault } from './frame-header.js';

/** Tags of TIFF 6.0 (part 1, section 8; part 3, section 19) and, the last, of DNG. */
const TAG = {
  orientation: 274,
  width: 256,
  height: 257,
  bits: 258,
  samplesPerPixel: 277,
  sampleFormat: 339,
  dngVersion: 50_706,
} as const;
/** Field types: SHORT of 2 bytes and LONG of 4 are all that is read here. */
const SHORT = 3;
const LONG = 4;
const ENTRY_BYTES = 12;
const MOST_ENTRIES = 4_096;
/** Values of one tag: one for each sample of a pixel. */
const MOST_VALUES = 64;

/** Reads the bytes of the file from a place on, fewer at its end. */
export type ReadAt = (from: number, bytes: number) => Promise<Uint8Array>;

/** `II*\0` or `MM\0*`; 43 instead of 42 is the form for files above 4 GB. */
export function isTiff(head: Uint8Array): boolean {
  return /^(?:II[*+]\0|MM\0[*+])$/.test(Buffer.from(head.subarray(0, 4)).toString('latin1'));
}

/**
 * What a TIFF file declares in its first directory, wherever in the file that and its values lie: ffmpeg
 * writes both after the picture. The format has no place for a rate or a timecode.
 *
 * @throws HeaderFault, also where it does not say how many bits a sample has; errors of `readAt`
 */
export async function readTiff(head: Uint8Array, readAt: ReadAt): Promise<FrameHeader> {
  const bytes = new HeaderBytes(head, head[0] === 0x49);
  if (bytes.u16(2) === 43) {
    const refused = 'it is a TIFF file for more than 4 GB, which ffmpeg does not read';
    return headerOf({ width: 0, height: 0, bitDepth: 0, samples: 'unread' }, refused);
  }
  const directory = await directoryAt(bytes.u32(4), bytes.littleEndian, readAt);
  const valuesOf = (tag: number): Promise<readonly number[]> => valuesAt(directory, tag, readAt);
  const [[width = 0], [height = 0]] = [await valuesOf(TAG.width), await valuesOf(TAG.height)];
  if (width < 1 || height < 1) throw new HeaderFault('its header declares no picture');
  const bitDepth = sameOf(await valuesOf(TAG.bits));
  const [count = 1] = await valuesOf(TAG.samplesPerPixel);
  const isFloat = (await valuesOf(TAG.sampleFormat)).includes(3);
  const samples = `${count} × ${bitDepth}-bit ${isFloat ? 'floats' : 'integers'}`;
  const [orientation = 1] = await valuesOf(TAG.orientation);
  const refused = directory.entries.has(TAG.dngVersion)
    ? 'it is a DNG, whose sensor values ffmpeg gives without the white balance and colour it declares: develop it into OpenEXR or DPX, and make the rest of that'
    : isFloat
      ? 'its samples are floats, which ffmpeg does not decode from TIFF'
      : orientation !== 1
        ? `its lines do not run from the top left (orientation ${orientation}), which ffmpeg does not follow`
        : null;
  return headerOf({ width, height, bitDepth, samples }, refused);
}

function headerOf(
  picture: Pick<FrameHeader, 'width' | 'height' | 'bitDepth' | 'samples'>,
  refused: string | null,
): FrameHeader {
  return {
    ...{ kind: 'tiff', ...picture, refused },
    ...{ rate: null, timecode: null, sampleAspect: null, transfer: null, primaries: null },
    ...{ interlaced: false, fileBytes: null },
  };
}

interface Directory {
  readonly bytes: HeaderBytes;
  /** Where in these bytes the entry of each tag lies. */
  readonly entries: ReadonlyMap<number, number>;
}

async function directoryAt(from: number, littleEndian: boolean, readAt: ReadAt): Promise<Directory> {
  const most = 2 + MOST_ENTRIES * ENTRY_BYTES;
  const bytes = new HeaderBytes(await readAt(from, most), littleEndian);
  const count = bytes.u16(0);
  if (count > MOST_ENTRIES) throw new HeaderFault('its header has too many entries');
  const entries = new Map<number, number>();
  for (let at = 2; at < 2 + count * ENTRY_BYTES; at += ENTRY_BYTES) entries.set(bytes.u16(at), at);
  return { bytes, entries };
}

/** All values of a tag; none where it is not there. */
async function valuesAt({ bytes, entries }: Directory, tag: number, readAt: ReadAt): Promise<number[]> {
  const at = entries.get(tag);
  if (at === undefined) return [];
  const [type, count] = [bytes.u16(at + 2), bytes.u32(at + 4)];
  if ((type !== SHORT && type !== LONG) || count > MOST_VALUES) {
    throw new HeaderFault(`its header has values of another kind than TIFF 6.0 has for tag ${tag}`);
  }
  const size = type === SHORT ? 2 : 4;
  // Values that do not fit into the entry lie where it says.
  const isInside = size * count <= 4;
  const from = isInside ? at + 8 : 0;
  const place = isInside
    ? bytes
    : new HeaderBytes(await readAt(bytes.u32(at + 8), size * count), bytes.littleEndian);
  return Array.from({ length: count }, (_, index) =>
    type === SHORT ? place.u16(from + size * index) : place.u32(from + size * index),
  );
}

/** Bits of every sample. Left out they would be 1, by TIFF 6.0: no picture of a sequence is meant by that. */
function sameOf(bits: readonly number[]): number {
  const [first = 0] = bits;
  if (first < 1) throw new HeaderFault('its header does not say how many bits a sample has');
  if (bits.some((each) => each !== first)) throw new HeaderFault('its samples are not all of as many bits');
  return first;
}
