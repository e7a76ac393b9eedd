import type { ChromaName } from '../../jobs/manifest/colour.js';
import { withVideo } from './check-format.js';
import { doubtAbout, reasonFor } from './doubt.js';
import { percent } from './figures.js';
import { type Check, met, missed, unmeasured } from './ruling.js';

/** From the least chroma to the most. 4:1:1 has fewer samples across than 4:2:0 and more lines: neither holds the other. */
const CHROMA_ORDER: readonly ChromaName[] = ['4:0:0', '4:2:0', '4:2:2', '4:4:4'];
const rank = (name: ChromaName): number => CHROMA_ORDER.indexOf(name);

export const effectiveChroma: Check<'effective-chroma'> = ({ least, proof }, measurement) => {
  const expected = proof ? `chroma of ${least} or more in use` : `no sign of chroma of less than ${least}`;
  return withVideo(measurement, expected, ({ chroma: { declared, effective, confidence } }) => {
    const advice = `Go back to a source with ${least}: chroma that was thrown away cannot be made up.`;
    if (declared !== null && rank(declared) < rank(least)) {
      return missed(expected, `${declared} declared`, advice);
    }
    const unread =
      measurement.effective === null
        ? reasonFor(measurement, 'look at the detail of the picture', 'effective')
        : null;
    const doubt = doubtAbout(measurement, 'effective', 'video.chroma.effective');
    if (unread !== null || doubt !== null) {
      return unmeasured(expected, doubt ?? unread ?? '', 'Measure the file again from a decodable copy.');
    }
    if (effective === null && !proof) {
      return met(
        expected,
        `${declared ?? 'no named sampling'} declared; how much is in use cannot be told, no sign of less`,
      );
    }
    if (effective === null || confidence === 'low') {
      const reason =
        effective === null
          ? 'too little chroma detail, or grain and coding cover it'
          : `it looks like ${effective}, but not for sure`;
      return unmeasured(expected, reason, 'Judge chroma by a part with sharp colours, or by the source.');
    }
    if (rank(effective) < rank(least)) {
      return missed(expected, `${declared ?? 'no named sampling'} declared, ${effective} in use`, advice);
    }
    return met(expected, `${effective} in use`);
  });
};

export const effectiveRaster: Check<'effective-raster'> = ({ least, proof }, measurement) => {
  const expected = proof
    ? `detail of at least ${percent(least)} of the raster each way`
    : `no sign of a picture scaled up from less than ${percent(least)} of the raster`;
  return withVideo(measurement, expected, ({ width, height }) => {
    const raster = measurement.effective?.raster ?? null;
    const doubt = doubtAbout(measurement, 'effective.raster');
    if (raster === null || doubt !== null) {
      const reason = doubt ?? reasonFor(measurement, 'look at the detail of the picture', 'effective');
      return unmeasured(expected, reason, 'Measure the file again from a decodable copy.');
    }
    const across = raster.width === null ? null : raster.width / width;
    const down = raster.height === null ? null : raster.height / height;
    const size = `${raster.width ?? 'unknown'} x ${raster.height ?? 'unknown'}`;
    const small = [across, down].some((share) => share !== null && share < least);
    if (small && raster.confidence === 'high') {
      return missed(
        expected,
        `detail as of a picture of ${size}`,
        'Go back to a source of the full raster: detail that was not shot cannot be made up.',
      );
    }
    const advice = 'Judge the raster by a sharp shot, or by the source.';
    if (small) return unmeasured(expected, `it looks like ${size}, but not for sure`, advice);
    if (across !== null && down !== null && raster.confidence === 'high') {
      return met(expected, `detail as of a picture of ${size}`);
    }
    return proof
      ? unmeasured(expected, 'too little detail, or grain covers it', advice)
      : met(expected, 'how much of the raster is in use cannot be told, no sign of less');
  });
};
