import { equalRationals, parseRational } from './rational.js';
import { formatTimecode, nominalRate, parseTimecode, supportsDropFrame } from './timecode.js';

/**
 * A start timecode of one rate as a label of another: the same second of the day, the frame in proportion.
 * Null where the label does not exist or a rate has no timecode (ffmpeg would refuse the whole job). Rates as
 * `num/den`.
 */
export function timecodeAtRate(label: string, fromRate: string, toRate: string): string | null {
  const [from, to] = [parseRational(fromRate), parseRational(toRate)];
  if (from === null || to === null) return null;
  const { timecode } = parseTimecode(label, from);
  if (timecode === null) return null;
  if (equalRationals(from, to)) return formatTimecode(timecode);
  const [fromNominal, toNominal] = [nominalRate(from), nominalRate(to)];
  if (fromNominal === null || toNominal === null) return null;
  const moved = {
    ...timecode,
    frames: Math.floor((timecode.frames * toNominal) / fromNominal),
    rate: to,
    dropFrame: timecode.dropFrame && supportsDropFrame(to),
  };
  // Read again: a label that drop frame skips at the new rate is no label.
  const text = formatTimecode(moved);
  return parseTimecode(text, to).timecode === null ? null : text;
}
