/**
 * Containers, by the names ffmpeg reads them under, with clocks of 1 ms or 1/90 ms and without edit lists:
 * the lead-in of a coder is in them as an earlier start of the sound, as a later one of the picture,
 * or not at all.
 */
const COARSELY_DATED: ReadonlySet<string> = new Set([
  'matroska',
  'webm',
  'mpeg',
  'mpegts',
  'mpegvideo',
  'ogg',
  'flv',
  'avi',
]);

/**
 * Whether a container says to the sample when the coded sound in it begins.
 *
 * @param format as facts have it, of one name or several: `matroska,webm`
 */
export function isDatedToTheSample(format: string): boolean {
  return !format.split(',').some((name) => COARSELY_DATED.has(name.trim()));
}
