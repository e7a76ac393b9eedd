import type { Colour } from '../../jobs/manifest/colour.js';
import type { ClipFacts } from '../../jobs/manifest/facts.js';
import type { ColourOverride } from '../../jobs/manifest/manifest.js';

interface Read {
  readonly path: string;
  readonly facts: ClipFacts;
  readonly colour: Colour | null;
}

/**
 * Matrix and range that one of two files does not declare are those of the other: a tag that was lost changes
 * no sample. Where neither declares them the original's assumption holds for both. RGB has no matrix to take.
 *
 * @param given what the user says of the original: as good as declared
 */
export function readAlike(
  original: Read,
  copy: Read,
  given: ColourOverride | undefined,
): readonly [Read, Read] {
  const [had, is] = [original, copy].map(({ facts, colour }) =>
    facts.video === null || colour === null || colour.matrix === 'gbr'
      ? null
      : { tags: facts.video.colour, isFull: facts.video.pixelFormat.startsWith('yuvj'), colour },
  );
  if (had == null || is == null) return [original, copy];
  const pick = <T>(key: 'matrix' | 'range', ofOriginal: T, ofCopy: T): readonly [T, T] => {
    const says = (file: typeof had): boolean => file.tags[key] !== null || (key === 'range' && file.isFull);
    if (!says(is)) return [ofOriginal, ofOriginal];
    return says(had) || given?.[key] !== undefined ? [ofOriginal, ofCopy] : [ofCopy, ofCopy];
  };
  const matrix = pick('matrix', had.colour.matrix, is.colour.matrix);
  const range = pick('range', had.colour.range, is.colour.range);
  return [
    { ...original, colour: { ...had.colour, matrix: matrix[0], range: range[0] } },
    { ...copy, colour: { ...is.colour, matrix: matrix[1], range: range[1] } },
  ];
}
