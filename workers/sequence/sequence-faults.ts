import type { SequenceFault } from '../../jobs/manifest/facts.js';
import { numberRanges } from '../../jobs/manifest/sequence-path.js';
import { formatRational, type Rational } from '../../signal/rational.js';
import { advanceTimecode, formatTimecode, parseTimecode } from '../../signal/timecode.js';
import type { FrameHeader } from './frame-header.js';
import type { Frames } from './list-frames.js';

/** The header of each frame with content, or what is wrong with it. */
export type HeaderOf = FrameHeader | { readonly fault: string };

export function isHeader(header: HeaderOf): header is FrameHeader {
  return !('fault' in header);
}

/**
 * What is wrong with a sequence, each with the numbers it is about: missing and empty frames, a number twice,
 * headers that cannot be read, and those that do not agree with the first. Pure.
 *
 * @param headers of `frames.frames`, in their order
 */
export function sequenceFaults(
  { frames, missing, empty, doubled }: Frames,
  headers: readonly HeaderOf[],
): SequenceFault[] {
  const reference = headers.find(isHeader);
  const origin = headers.findIndex(isHeader);
  const byWhy = new Map<string, number[]>();
  const note = (why: string, number: number): void => {
    const numbers = byWhy.get(why) ?? [];
    numbers.push(number);
    byWhy.set(why, numbers);
  };
  for (const [index, header] of headers.entries()) {
    const frame = frames[index];
    if (frame === undefined) continue;
    if (!isHeader(header)) {
      note(header.fault, frame.number);
      continue;
    }
    if (header.fileBytes !== null && frame.bytes < header.fileBytes) {
      note('shorter than its header says: cut short, or still being copied', frame.number);
    }
    if (reference === undefined) continue;
    const distance = frame.number - (frames[origin]?.number ?? 0);
    for (const why of disagreements(header, reference, distance)) note(why, frame.number);
  }
  const told = [...byWhy].map(([why, numbers]) => ({ why, numbers: numberRanges(numbers) }));
  return [
    ...(missing.length === 0 ? [] : [{ why: 'missing', numbers: numberRanges(missing) }]),
    ...(empty.length === 0 ? [] : [{ why: 'empty (0 bytes)', numbers: numberRanges(empty) }]),
    ...told,
    ...doubled.map((name) => ({ why: `there twice; ${name} is not used`, numbers: [] })),
  ];
}

function disagreements(header: FrameHeader, reference: FrameHeader, distance: number): string[] {
  const differs: string[] = [];
  const compare = (what: string, found: string, expected: string): void => {
    if (found !== expected) differs.push(`${what} ${found}, the first has ${expected}`);
  };
  compare('format', header.kind, reference.kind);
  compare('size', sizeOf(header), sizeOf(reference));
  compare('samples', header.samples, reference.samples);
  compare('rate', rateOf(header.rate), rateOf(reference.rate));
  const expected = timecodeAfter(reference, distance);
  if (expected !== null && header.timecode !== expected) {
    // One sentence for a whole run: the labels themselves differ from frame to frame.
    differs.push('its timecode does not continue that of the first');
  }
  return differs;
}

function sizeOf({ width, height }: FrameHeader): string {
  return `${width} x ${height}`;
}

function rateOf(rate: Rational | null): string {
  return rate === null ? 'none' : formatRational(rate);
}

/** Null where the first has no timecode, or no rate to count it by. */
function timecodeAfter({ timecode, rate }: FrameHeader, frames: number): string | null {
  if (timecode === null || rate === null) return null;
  const read = parseTimecode(timecode, rate).timecode;
  return read === null ? null : formatTimecode(advanceTimecode(read, frames));
}
