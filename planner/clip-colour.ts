import { codedTransfer } from '../jobs/manifest/coded-transfer.js';
import type { Colour } from '../jobs/manifest/colour.js';
import type { VideoFacts } from '../jobs/manifest/facts.js';
import type { ColourOverride } from '../jobs/manifest/manifest.js';
import { PRIMARIES_NAMES, type PrimariesName } from '../signal/gamut/gamuts.js';
import {
  isCameraLog,
  TRANSFER_NAMES,
  type TransferName,
  transferFunction,
} from '../signal/transfer/transfer-functions.js';
import { MATRIX_NAMES, type MatrixName } from '../signal/ycbcr.js';

function known<T extends string>(names: readonly T[], value: string | null | undefined): T | null {
  return names.find((name) => name === value) ?? null;
}

/** Curves used with more than one gamut: untagged primaries are then chosen by the size of the picture. */
const GAMUT_BY_SIZE: ReadonlySet<TransferName> = new Set<TransferName>(['bt709', 'smpte170m', 'bt1886']);

/**
 * Colour of an untagged picture by its size: SD is BT.601, everything larger BT.709 (common practice, no
 * source).
 */
function bySize(video: VideoFacts): { primaries: PrimariesName; matrix: MatrixName } {
  if (video.width <= 720 && video.height <= 486) return { primaries: 'smpte170m', matrix: 'smpte170m' };
  if (video.width <= 720 && video.height <= 576) return { primaries: 'bt470bg', matrix: 'bt470bg' };
  return { primaries: 'bt709', matrix: 'bt709' };
}

export interface ResolvedColour {
  readonly colour: Colour;
  /** What had to be assumed, in words; empty when tags and manifest give everything. */
  readonly assumed: readonly string[];
}

/**
 * Colour of a clip: from the manifest, otherwise from the tags of the file, otherwise assumed, which the plan
 * notes. A camera log clip usually has BT.709 tags or none, so its curve must come from the manifest.
 */
export function resolveColour(video: VideoFacts, override: ColourOverride | undefined): ResolvedColour {
  const assumed: string[] = [];
  const size = bySize(video);
  const isRgb = /^(gbr|rgb|bgr|argb|abgr)/.test(video.pixelFormat);
  const tagged = video.colour;

  let transfer = override?.transfer ?? known(TRANSFER_NAMES, tagged.transfer);
  if (transfer === null) {
    transfer = 'bt709';
    assumed.push(
      tagged.transfer === null
        ? 'transfer bt709 (no tag)'
        : `transfer bt709 (tag "${tagged.transfer}" is not known)`,
    );
  }
  const own = GAMUT_BY_SIZE.has(transfer) ? null : transferFunction(transfer).primaries;
  let primaries = override?.primaries ?? null;
  if (primaries === null) {
    const tag = known(PRIMARIES_NAMES, tagged.primaries);
    if (own !== null && (tag === null || isCameraLog(transfer))) {
      primaries = own;
      assumed.push(`primaries ${own} (published with ${transfer})`);
    } else if (tag !== null) {
      primaries = tag;
    } else {
      primaries = size.primaries;
      assumed.push(`primaries ${size.primaries} (no tag)`);
    }
  }
  let matrix = isRgb ? 'gbr' : (override?.matrix ?? known(MATRIX_NAMES, tagged.matrix));
  if (matrix === null || (matrix === 'gbr' && !isRgb)) {
    matrix = primaries === 'bt2020' && !isCameraLog(transfer) ? 'bt2020nc' : size.matrix;
    assumed.push(`matrix ${matrix} (no tag)`);
  }
  let range = override?.range ?? tagged.range;
  if (range === null) {
    range = isRgb || video.pixelFormat.startsWith('yuvj') ? 'full' : 'narrow';
    if (!isRgb) assumed.push(`${range} range (no tag)`);
  }
  const coded = codedTransfer(transfer, video.pixelFormat);
  return { colour: { transfer: coded, primaries, matrix, range }, assumed };
}
