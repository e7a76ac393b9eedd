import { type Box, childrenOf, DamagedBoxes } from './walk-boxes.js';

/**
 * The sample tables of a track (ISO/IEC 14496-12, clause 8.6 and 8.7; clause numbers from memory). Read here
 * rather than by the library: the counts in them are declared by the file and checked against the bytes that
 * are there.
 */
export interface Samples {
  readonly count: number;
  readonly bytes: Uint32Array;
  /** In ticks of the track. */
  readonly decodeTimes: Float64Array;
  readonly presentationTimes: Float64Array;
  readonly key: Uint8Array;
  /** Duration of the last sample, in ticks; it may be long on purpose. */
  readonly lastDuration: number;
}

/** Frames of 23 hours at 60 a second. */
export const MOST_SAMPLES = 5_000_000;

export interface Tables {
  readonly data: Buffer;
  readonly find: (type: string) => Box | null;
}

export function tablesOf(data: Buffer, stbl: Box): Tables {
  const boxes = childrenOf(data, stbl);
  return { data, find: (type) => boxes.find((box) => box.type === type) ?? null };
}

/** Number of samples in the size table; null without one. */
export function sampleCount({ data, find }: Tables): number | null {
  const stsz = find('stsz');
  if (stsz === null || stsz.end - stsz.body < 12) return null;
  return data.readUInt32BE(stsz.body + 8);
}

/** Number and position of the rows of a table of 32-bit numbers, after version, flags and count. */
function rows(data: Buffer, box: Box, columns: number): { readonly count: number; readonly at: number } {
  if (box.end - box.body < 8) throw new DamagedBoxes(`the table "${box.type}" is too short`);
  const count = data.readUInt32BE(box.body + 4);
  const at = box.body + 8;
  if (count * columns * 4 > box.end - at) {
    throw new DamagedBoxes(`the table "${box.type}" declares ${count} rows and is too short for them`);
  }
  return { count, at };
}

/**
 * Size, times and key flag of every sample of a picture track. @throws DamagedBoxes where the tables
 * contradict themselves.
 */
export function readSamples(tables: Tables): Samples | null {
  const { data, find } = tables;
  const [stsz, stts] = [find('stsz'), find('stts')];
  const count = sampleCount(tables);
  if (stsz === null || stts === null || count === null) return null;
  if (count > MOST_SAMPLES) throw new DamagedBoxes(`a picture track declares ${count} samples`);
  return {
    count,
    bytes: sizes(data, stsz, count),
    ...times(tables, stts, count),
    key: keys(tables, count),
  };
}

function sizes(data: Buffer, stsz: Box, count: number): Uint32Array {
  const constant = data.readUInt32BE(stsz.body + 4);
  if (constant !== 0) return new Uint32Array(count).fill(constant);
  const at = stsz.body + 12;
  if (count * 4 > stsz.end - at) {
    throw new DamagedBoxes(`the table "stsz" declares ${count} rows and is too short for them`);
  }
  return Uint32Array.from({ length: count }, (_, i) => data.readUInt32BE(at + 4 * i));
}

function times(
  { data, find }: Tables,
  stts: Box,
  count: number,
): Pick<Samples, 'decodeTimes' | 'presentationTimes' | 'lastDuration'> {
  const decodeTimes = new Float64Array(count);
  let sample = 0;
  let time = 0;
  let lastDuration = 0;
  const deltas = rows(data, stts, 2);
  for (let row = 0; row < deltas.count && sample < count; row++) {
    const run = Math.min(data.readUInt32BE(deltas.at + 8 * row), count - sample);
    const delta = data.readUInt32BE(deltas.at + 8 * row + 4);
    for (let i = 0; i < run; i++) {
      decodeTimes[sample++] = time;
      time += delta;
    }
    if (run > 0) lastDuration = delta;
  }
  if (sample < count) throw new DamagedBoxes(`${count} samples are declared, ${sample} of them have a time`);
  return { decodeTimes, presentationTimes: presentationTimes({ data, find }, decodeTimes), lastDuration };
}

/**
 * Offsets are read as signed in every version: version 0 with negative offsets is common (common practice, no
 * source).
 */
function presentationTimes({ data, find }: Tables, decodeTimes: Float64Array): Float64Array {
  const times = decodeTimes.slice();
  const ctts = find('ctts');
  if (ctts === null) return times;
  const offsets = rows(data, ctts, 2);
  let sample = 0;
  for (let row = 0; row < offsets.count && sample < times.length; row++) {
    const run = Math.min(data.readUInt32BE(offsets.at + 8 * row), times.length - sample);
    const offset = data.readInt32BE(offsets.at + 8 * row + 4);
    for (let i = 0; i < run; i++, sample++) times[sample] = (times[sample] ?? 0) + offset;
  }
  return times;
}

/** Without a table of sync samples every sample is a sync sample. */
function keys({ data, find }: Tables, count: number): Uint8Array {
  const stss = find('stss');
  if (stss === null) return new Uint8Array(count).fill(1);
  const key = new Uint8Array(count);
  const table = rows(data, stss, 1);
  for (let row = 0; row < table.count; row++) {
    const sample = data.readUInt32BE(table.at + 4 * row);
    if (sample >= 1 && sample <= count) key[sample - 1] = 1;
  }
  return key;
}

export interface Chunk {
  readonly position: number;
  readonly samples: number;
}

/**
 * Positions of the samples of a track, chunk by chunk; at most `most` chunks. For tracks with few samples.
 */
export function readChunks({ data, find }: Tables, most: number): Chunk[] {
  const stsc = find('stsc');
  const [stco, co64] = [find('stco'), find('co64')];
  const offsets = stco ?? co64;
  if (stsc === null || offsets === null) return [];
  const width = stco === null ? 2 : 1;
  const chunks = rows(data, offsets, width);
  const runs = rows(data, stsc, 3);
  const found: Chunk[] = [];
  let run = 0;
  for (let chunk = 0; chunk < Math.min(chunks.count, most); chunk++) {
    while (run + 1 < runs.count && data.readUInt32BE(runs.at + 12 * (run + 1)) <= chunk + 1) run++;
    const at = chunks.at + 4 * width * chunk;
    found.push({
      position: width === 1 ? data.readUInt32BE(at) : Number(data.readBigUInt64BE(at)),
      samples: runs.count === 0 ? 0 : data.readUInt32BE(runs.at + 12 * run + 4),
    });
  }
  return found;
}

/** Durations of the samples of a track, at most `most`. For tracks with long samples. */
export function readDurations({ data, find }: Tables, most: number): number[] {
  const stts = find('stts');
  if (stts === null) return [];
  const deltas = rows(data, stts, 2);
  const durations: number[] = [];
  for (let row = 0; row < deltas.count && durations.length < most; row++) {
    const run = data.readUInt32BE(deltas.at + 8 * row);
    const delta = data.readUInt32BE(deltas.at + 8 * row + 4);
    for (let i = 0; i < run && durations.length < most; i++) durations.push(delta);
  }
  return durations;
}
