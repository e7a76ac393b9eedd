import type { Colour } from '../../jobs/manifest/colour.js';
import type { ClipFacts } from '../../jobs/manifest/facts.js';
import type { ColourOverride } from '../../jobs/manifest/manifest.js';
import { isCameraLog } from '../../signal/transfer/transfer-functions.js';

interface Read {
  readonly path: string;
  readonly facts: ClipFacts;
  readonly colour: Colour | null;
}

/**
 * Matrix and range that one of two files does not declare are those of the other: a tag that was lost changes
 * no sample. Where neither declares them the original's assumption holds for both. RGB has no matrix to take;
 * made of camera log and without a range of its own it holds the codes of that: the formula is of codes.
 *
 * @param given what the user says of the original: as good as declared
 */
export function readAlike(
  original: Read,
  copy: Read,
  given: ColourOverride | undefined,
): readonly [Read, Read] {
  if (isLogInRgb(original, copy)) {
    const range = original.colour?.range ?? 'full';
    return [original, copy.colour === null ? copy : { ...copy, colour: { ...copy.colour, range } }];
  }
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

/** RGB without a declared range beside Y'CbCr of camera log. */
function isLogInRgb({ colour }: Read, copy: Read): boolean {
  return colour !== null && colour.matrix !== 'gbr' && isCameraLog(colour.transfer) && isUnsaidRgb(copy);
}

/** RGB that declares no range, as most of it: full range is meant, or the codes of camera log. */
function isUnsaidRgb({ facts, colour }: Read): boolean {
  return colour?.matrix === 'gbr' && facts.video !== null && facts.video.colour.range === null;
}

/**
 * Whether codes of narrow range in a copy may be meant: RGB that declares no range, of an original of which
 * nobody says that it is no camera log.
 */
export function mayHoldLogCodes(original: Read, copy: Read, given: ColourOverride | undefined): boolean {
  const isSaid = original.facts.video?.colour.transfer != null || given?.transfer !== undefined;
  return !isSaid && original.colour?.matrix !== 'gbr' && isUnsaidRgb(copy);
}
