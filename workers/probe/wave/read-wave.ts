import { type FileHandle, open } from 'node:fs/promises';

/** What a WAVE file carries beside its sound. */
export interface WaveChunks {
  /** Samples from midnight to the first one, of the chunk `bext`; null where there is none. */
  readonly timeReference: number | null;
  /** The chunk `iXML` as it is; null where there is none that is read. */
  readonly ixml: Buffer | null;
  /** Why a chunk that is there was not read. */
  readonly notes: readonly string[];
}

/** Form of the file: RIFF, and those for more than 4 GB (EBU Tech 3306, ITU-R BS.2088-1). */
const FORMS: readonly string[] = ['RIFF', 'RF64', 'BW64'];
const HEADER_BYTES = 12;
const CHUNK_HEADER_BYTES = 8;
/** Place of TimeReferenceLow in the chunk, and the end of its high half (EBU Tech 3285, 2.3). */
const TIME_REFERENCE_AT = 338;
const TIME_REFERENCE_END = 346;
/** Notes of a long session with a name for each of 64 tracks are some 20 kB. */
const MOST_IXML_BYTES = 1 << 20;
/** A file of tiny chunks would be walked for ever. */
const MOST_CHUNKS = 1_000;
/** Size of a chunk that the chunk `ds64` states. */
const IN_DS64 = 0xffff_ffff;

/**
 * Reads the chunks of a Broadcast Wave file (EBU Tech 3285) that tell when and where it was recorded. Sizes
 * are believed only as far as the file reaches.
 *
 * @returns null for a file that is no WAVE
 */
export async function readWave(path: string): Promise<WaveChunks | null> {
  const file = await open(path);
  try {
    return await readChunks(file, (await file.stat()).size);
  } finally {
    await file.close();
  }
}

async function readChunks(file: FileHandle, bytes: number): Promise<WaveChunks | null> {
  const header = await bytesAt(file, 0, HEADER_BYTES);
  const form = header.toString('latin1', 0, 4);
  if (!FORMS.includes(form) || header.toString('latin1', 8, HEADER_BYTES) !== 'WAVE') return null;
  let [timeReference, ixml, dataBytes]: [number | null, Buffer | null, number | null] = [null, null, null];
  const notes: string[] = [];
  let at = HEADER_BYTES;
  for (let chunk = 0; chunk < MOST_CHUNKS && at + CHUNK_HEADER_BYTES <= bytes; chunk++) {
    const head = await bytesAt(file, at, CHUNK_HEADER_BYTES);
    const id = head.toString('latin1', 0, 4);
    const stated = head.readUInt32LE(4);
    const size: number = id === 'data' && stated === IN_DS64 ? (dataBytes ?? bytes) : stated;
    at += CHUNK_HEADER_BYTES;
    const isWhole = at + size <= bytes;
    if (id === 'ds64' && isWhole && size >= 16) {
      dataBytes = safeNumber((await bytesAt(file, at + 8, 8)).readBigUInt64LE());
    }
    if (id === 'bext' && timeReference === null) {
      if (isWhole && size >= TIME_REFERENCE_END) {
        timeReference = safeNumber((await bytesAt(file, at + TIME_REFERENCE_AT, 8)).readBigUInt64LE());
      } else notes.push('its chunk bext is too short: no time reference is read');
    }
    if (id === 'iXML' && ixml === null) {
      if (isWhole && size <= MOST_IXML_BYTES) ixml = await bytesAt(file, at, size);
      else notes.push(`its chunk iXML states ${size} bytes: not read`);
    }
    // Chunks begin at even places.
    at += size + (size % 2);
  }
  return { timeReference, ixml, notes };
}

async function bytesAt(file: FileHandle, at: number, length: number): Promise<Buffer> {
  const buffer = Buffer.alloc(length);
  await file.read(buffer, 0, length, at);
  return buffer;
}

function safeNumber(value: bigint): number | null {
  return value <= BigInt(Number.MAX_SAFE_INTEGER) ? Number(value) : null;
}
