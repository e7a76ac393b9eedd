import { equalRationals, parseRational } from './rational.js';
import { formatTimecode, nominalRate, parseTimecode, supportsDropFrame } from './timecode.js';

/**
 * Converts a start timecode from one rate to another: the same second of the day, the frame in proportion.
 * Null where the timecode does not exist or a rate has none (ffmpeg would refuse the whole job). Rates as
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
  // Parsed again: drop frame may skip this timecode at the new rate.
  const text = formatTimecode(moved);
  return parseTimecode(text, to).timecode === null ? null : text;
}
