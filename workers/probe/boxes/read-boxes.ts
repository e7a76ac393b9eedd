import { open } from 'node:fs/promises';
import type {
  ContainerTrack,
  Layer,
  TimecodeTrack,
  Wrapper,
} from '../../../jobs/measurement/measured-container.js';
import { rational } from '../../../signal/rational.js';
import type { PictureTimes } from '../frame-rate.js';
import type { Packets } from '../packets.js';
import { leaf } from './leaf-boxes.js';
import { pictureLayer } from './picture-layer.js';
import { presentedTimes } from './presented-samples.js';
import { readChunks, readSamples, type Samples, sampleCount, tablesOf } from './sample-tables.js';
import { type SoundEntry, soundEntry } from './sound-entry.js';
import { readTimecodeTrack } from './timecode-track.js';
import { readAt, readTopLevel, type TopLevel } from './top-level.js';
import { editsOf, type MediaTimes, presentation } from './track-times.js';
import { type Box, boxAt, childrenOf, DamagedBoxes } from './walk-boxes.js';

/** A larger index is refused instead of read into memory. */
const MOST_INDEX_BYTES = 256 * 1024 * 1024;
const MOST_TRACKS = 256;
const TIME_LIMIT_MS = 20_000;
/** The header of a frame is shorter. */
const HEAD_BYTES = 256;

export interface BoxReading {
  readonly wrapper: Wrapper;
  /** What the sample entry of the first picture track declares; null without one. */
  readonly picture: Layer | null;
  /**
   * Packets of the first picture track, from its tables; null without one, or where samples are in fragments.
   */
  readonly packets: Packets | null;
  /**
   * When its frames are presented, without those that an edit list hides; null where not known.
   */
  readonly times: PictureTimes | null;
  /** First bytes of its first sample; null without one, or where samples are in fragments. */
  readonly head: Buffer | null;
  /** The sample entries of the sound tracks, by the number of the track. */
  readonly sounds: ReadonlyMap<number, SoundEntry>;
}

/**
 * Structure of a MOV or MP4 file. Only the outermost headers and the index are read, however large the file
 * is.
 *
 * @throws DamagedBoxes with a message for people, where the structure contradicts itself, or the index is
 * missing or too large; errors of reading.
 */
export async function readBoxes(path: string, bytes: number, signal?: AbortSignal): Promise<BoxReading> {
  const limit = AbortSignal.timeout(TIME_LIMIT_MS);
  const until = signal === undefined ? limit : AbortSignal.any([signal, limit]);
  const file = await open(path, 'r');
  try {
    const top = await readTopLevel(file, bytes, until);
    if (top.index === null) throw new DamagedBoxes('it has no index (no "moov" box)');
    if (top.index.bytes > MOST_INDEX_BYTES) {
      throw new DamagedBoxes(`its index is ${top.index.bytes} bytes, more than any real one`);
    }
    const data = await readAt(file, top.index.position, top.index.bytes);
    if (data.length < top.index.bytes) throw new DamagedBoxes('its index extends past the end of the file');
    const header = data.readUInt32BE(0) === 1 ? 16 : 8;
    const moov: Box = { type: 'moov', body: header, end: data.length };
    return await readIndex(file, data, moov, top, until);
  } catch (error) {
    if (limit.aborted && !signal?.aborted) throw new DamagedBoxes('its boxes take too long to read');
    // A box shorter than its fixed fields: Buffer throws when reading past its end.
    if (error instanceof RangeError) throw new DamagedBoxes('a box is shorter than its fields');
    throw error;
  } finally {
    await file.close();
  }
}

async function readIndex(
  file: Awaited<ReturnType<typeof open>>,
  data: Buffer,
  moov: Box,
  top: TopLevel,
  signal: AbortSignal,
): Promise<BoxReading> {
  const boxes = childrenOf(data, moov);
  if (boxes.some(({ type }) => type === 'cmov')) throw new DamagedBoxes('its index is compressed');
  const movieScale = leaf('mvhd', data, boxes.find(({ type }) => type === 'mvhd') ?? null)?.timescale ?? 0;
  const isFragmented = boxes.some(({ type }) => type === 'mvex');
  const traks = boxes.filter(({ type }) => type === 'trak');
  if (traks.length > MOST_TRACKS) throw new DamagedBoxes(`it has ${traks.length} tracks`);

  const tracks: ContainerTrack[] = [];
  let picture: Layer | null = null;
  let packets: Packets | null = null;
  let times: PictureTimes | null = null;
  let head: Buffer | null = null;
  const sounds = new Map<number, SoundEntry>();
  let timecode: TimecodeTrack | null = null;
  for (const trak of traks) {
    signal.throwIfAborted();
    const mdia = boxAt(data, trak, 'mdia');
    const stbl = mdia && boxAt(data, mdia, 'minf', 'stbl');
    const mdhd = leaf('mdhd', data, mdia && boxAt(data, mdia, 'mdhd'));
    if (mdia === null || stbl === null || mdhd === null) continue;
    const tables = tablesOf(data, stbl);
    const stsd = tables.find('stsd');
    const entry =
      stsd && stsd.end - stsd.body >= 8 ? childrenOf(data, { ...stsd, body: stsd.body + 8 })[0] : undefined;
    const kind = kindOf(leaf('hdlr', data, boxAt(data, mdia, 'hdlr'))?.handler);
    const isFirstPicture = kind === 'video' && picture === null && entry !== undefined;
    const samples = isFirstPicture && !isFragmented ? readSamples(tables) : null;
    if (isFirstPicture) {
      picture = pictureLayer(data, entry);
      const [chunk] = samples === null ? [] : readChunks(tables, 1);
      if (chunk !== undefined) head = await readAt(file, chunk.position, HEAD_BYTES);
      packets =
        samples && mdhd.timescale > 0
          ? {
              ...samples,
              timeBase: rational(1, mdhd.timescale),
              lastSeconds: lastSeconds(samples, mdhd.timescale),
            }
          : null;
    }
    if (kind === 'timecode') timecode ??= await readTimecodeTrack(file, tables, mdhd.timescale);
    const list = boxAt(data, trak, 'edts', 'elst');
    const elst = leaf('elst', data, list);
    // A list that cannot be read is not the same as none: it is then not known what is presented.
    if (list !== null && elst === null) throw new DamagedBoxes('an edit list is shorter than declared');
    const media: MediaTimes = {
      timescale: mdhd.timescale,
      // All ones: the duration is not known.
      duration: mdhd.duration === (mdhd.version === 1 ? 2 ** 64 : 0xffffffff) ? null : mdhd.duration,
      // Sound is not reordered; for pictures this is the first one presented.
      first: samples === null ? 0 : lowest(samples.presentationTimes),
    };
    const edits = editsOf(elst, movieScale, mdhd.timescale);
    const shown = packets === null || !isFirstPicture ? null : presentedTimes(packets, edits, mdhd.timescale);
    if (shown !== null) times = { ticks: shown.times, timeBase: rational(1, mdhd.timescale) };
    const sound = kind === 'audio' && entry ? soundEntry(data, entry, top.brand === 'qt  ') : null;
    if (sound !== null) sounds.set(trackNumber(data, trak), sound);
    tracks.push({
      kind,
      codec: entry?.type.replace(/[^\x20-\x7e]/g, '?') ?? 'none',
      samples: isFragmented ? null : sampleCount(tables),
      presentedSamples: shown?.times.length ?? null,
      partlyPresented: shown?.partly ?? null,
      ...presentation(edits, media, isFragmented),
    });
  }
  return {
    wrapper: {
      brand: top.brand,
      indexFirst: top.indexFirst,
      fragments: top.fragments,
      trailingBytes: top.trailingBytes,
      tracks,
      timecode,
    },
    picture,
    packets,
    times,
    head,
    sounds,
  };
}

/** Duration of the frame that is presented last; null where another one is decoded last. */
function lastSeconds(samples: Samples, timescale: number): number | null {
  const last = samples.presentationTimes.at(-1) ?? 0;
  const isLast = samples.presentationTimes.subarray(-64).every((time) => time <= last);
  return isLast ? samples.lastDuration / timescale : null;
}

/** track_ID of `tkhd`, after two times; without one 0, which no track has. */
function trackNumber(data: Buffer, trak: Box): number {
  const tkhd = boxAt(data, trak, 'tkhd');
  if (tkhd === null) return 0;
  const at = tkhd.body + (data.readUInt8(tkhd.body) === 1 ? 20 : 12);
  return at + 4 > tkhd.end ? 0 : data.readUInt32BE(at);
}

function kindOf(handler: string | undefined): ContainerTrack['kind'] {
  const kinds: Readonly<Record<string, ContainerTrack['kind']>> = {
    vide: 'video',
    soun: 'audio',
    tmcd: 'timecode',
  };
  return kinds[handler ?? ''] ?? 'other';
}

/** Reordering spans a few frames: the first presented is among the first coded. */
function lowest(times: Float64Array): number {
  return times.length === 0 ? 0 : Math.min(...times.subarray(0, 64));
}
