import type { ClipFacts } from '../../jobs/manifest/facts.js';
import { withStated } from '../../planner/stated-facts.js';

/**
 * A picture sequence whose headers declare no rate at that of the file it is compared with, so that frame n
 * stands beside frame n; any other file as it is. Pure.
 *
 * @param rate frames a second as a fraction, `24/1`
 */
export function atRateOf<File extends { readonly facts: ClipFacts }>(
  file: File,
  rate: string | null | undefined,
): File {
  const { sequence, video } = file.facts;
  if (sequence === undefined || video === null || video.frameRate !== null || rate == null) return file;
  return { ...file, facts: withStated(file.facts, video, { frameRate: rate }) };
}
