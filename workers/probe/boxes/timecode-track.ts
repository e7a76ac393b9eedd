import type { FileHandle } from 'node:fs/promises';
import type { TimecodeTrack } from '../../../jobs/measurement/measured-container.js';
import { formatRational, type Rational, rational } from '../../../signal/rational.js';
import { formatTimecode, nominalRate, supportsDropFrame, timecodeOfFrame } from '../../../signal/timecode.js';
import { readChunks, readDurations, sampleCount, type Tables } from './sample-tables.js';
import { readAt } from './top-level.js';
import { type Box, childrenOf, DamagedBoxes } from './walk-boxes.js';

/**
 * A sample sets the timecode of all frames up to the next sample; real tracks have one, or one for each
 * break.
 */
const MOST_SAMPLES = 100_000;
const MOST_JUMPS = 100;
const DROP_FRAME = 0x1;
const COUNTER = 0x8;

/**
 * The timecode track of a QuickTime file (QuickTime File Format, "Timecode media"; layout from memory).
 * Sample entry: 6 bytes reserved, 2 of data reference, 4 reserved, 4 of flags, 4 of time scale, 4 of frame
 * duration, 1 of frames a second. A sample is a frame count of 4 bytes, or of 8 in entries of type `tc64`.
 *
 * Null where the track counts something else, has no rate or no samples. @throws DamagedBoxes
 */
export async function readTimecodeTrack(
  file: FileHandle,
  tables: Tables,
  timescale: number,
): Promise<TimecodeTrack | null> {
  const { data } = tables;
  const entry = sampleEntry(tables);
  if (entry === null || entry.end - entry.body < 25) return null;
  const wide = entry.type === 'tc64';
  if (!wide && entry.type !== 'tmcd') return null;
  const flags = data.readUInt32BE(entry.body + 12);
  const scale = data.readUInt32BE(entry.body + 16);
  const frameDuration = data.readUInt32BE(entry.body + 20);
  if ((flags & COUNTER) !== 0 || scale === 0 || frameDuration === 0 || timescale === 0) return null;

  const rate = rational(scale, frameDuration);
  const dropFrame = (flags & DROP_FRAME) !== 0;
  const samples = sampleCount(tables) ?? 0;
  // In a fragmented file its samples are not in the index: nothing is known about them.
  if (samples === 0) return null;
  if (samples > MOST_SAMPLES) throw new DamagedBoxes(`the timecode track declares ${samples} samples`);
  const counts = await readCounts(file, tables, samples, wide ? 8 : 4);
  // Each sample's duration in frames of the track's own rate: ticks / timescale seconds at scale /
  // frameDuration.
  const lengths = readDurations(tables, counts.length).map(
    (ticks) => (ticks * scale) / (timescale * frameDuration),
  );
  return {
    start: labelOf(counts[0], rate, dropFrame),
    frameRate: formatRational(rate),
    framesPerSecond: data.readUInt8(entry.body + 24),
    dropFrame,
    samples,
    frames: lengths.reduce((sum, length) => sum + length, 0),
    jumps: jumpsOf(counts, lengths),
  };
}

function sampleEntry({ data, find }: Tables): Box | null {
  const stsd = find('stsd');
  // Version, flags and a count come before the entries.
  return stsd === null || stsd.end - stsd.body < 8
    ? null
    : (childrenOf(data, { ...stsd, body: stsd.body + 8 })[0] ?? null);
}

async function readCounts(
  file: FileHandle,
  tables: Tables,
  samples: number,
  width: 4 | 8,
): Promise<number[]> {
  const counts: number[] = [];
  for (const chunk of readChunks(tables, samples)) {
    const needed = Math.min(chunk.samples, samples - counts.length);
    const bytes = await readAt(file, chunk.position, needed * width);
    if (bytes.length < needed * width)
      throw new DamagedBoxes('a sample of the timecode track is not in the file');
    for (let i = 0; i < needed; i++) {
      counts.push(width === 4 ? bytes.readInt32BE(4 * i) : Number(bytes.readBigInt64BE(8 * i)));
    }
  }
  return counts;
}

function labelOf(frame: number | undefined, rate: Rational, dropFrame: boolean): string | null {
  if (frame === undefined || !Number.isSafeInteger(frame) || nominalRate(rate) === null) return null;
  if (dropFrame && !supportsDropFrame(rate)) return null;
  return formatTimecode(timecodeOfFrame(frame, rate, dropFrame));
}

function jumpsOf(counts: readonly number[], lengths: readonly number[]): TimecodeTrack['jumps'] {
  const jumps: TimecodeTrack['jumps'] = [];
  let frame = 0;
  for (let i = 1; i < counts.length && jumps.length < MOST_JUMPS; i++) {
    const length = Math.round(lengths[i - 1] ?? 0);
    frame += length;
    const expected = (counts[i - 1] ?? 0) + length;
    const found = counts[i] ?? 0;
    if (found !== expected) jumps.push({ frame, expected, found });
  }
  return jumps;
}
