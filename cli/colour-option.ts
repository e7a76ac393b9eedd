import { GoodgateError } from '../jobs/errors.js';
import { NAMES_COMMAND, parseColour, type WrittenColour } from '../jobs/manifest/colour-words.js';

/** A colour given by an option, such as `--colour` or `--from`. Throws bad-option. */
export function colourOption(option: string, text: string): WrittenColour {
  try {
    return parseColour(text);
  } catch (error) {
    throw new GoodgateError('bad-option', {
      what: error instanceof Error ? error.message : String(error),
      where: option,
      next: `write TRANSFER/PRIMARIES such as S-Log3/S-Gamut3.Cine, or one name for a standard pair such as Rec.709 or PQ; ${NAMES_COMMAND} lists the names`,
      cause: error,
    });
  }
}
