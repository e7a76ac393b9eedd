import { codedTransfer } from '../../../../jobs/manifest/coded-transfer.js';
import type { Colour } from '../../../../jobs/manifest/colour.js';
import type { VideoFacts } from '../../../../jobs/manifest/facts.js';
import { PRIMARIES_NAMES, type PrimariesName } from '../../../../signal/gamut/gamuts.js';
import type { RangeName } from '../../../../signal/quantise.js';
import { TRANSFER_NAMES, type TransferName } from '../../../../signal/transfer/transfer-functions.js';
import { MATRIX_NAMES, type MatrixName } from '../../../../signal/ycbcr.js';
import type { SampleLayout } from './sample-layout.js';

/** Colour of a picture, as far as it is known. */
export interface PictureMeaning {
  readonly range: RangeName;
  /** Null: unknown, so R'G'B' cannot be made. */
  readonly matrix: MatrixName | null;
  readonly transfer: TransferName | null;
  readonly primaries: PrimariesName | null;
  /** Assumptions made on the way, in words. */
  readonly notes: readonly string[];
}

function nameIn<T extends string>(names: readonly T[], value: string | null): T | null {
  return names.find((name) => name === value) ?? null;
}

/**
 * The given colour, else what the file declares, tag by tag. A range that is not declared is narrow, as in
 * the video standards, unless the pixel format means full range or the planes are RGB, which ffmpeg decodes
 * as full range.
 */
export function pictureMeaning(
  video: VideoFacts,
  layout: SampleLayout,
  colour: Colour | null,
): PictureMeaning {
  const declared = video.colour;
  const notes: string[] = [];
  let range = colour?.range ?? declared.range ?? (layout.impliesFullRange ? 'full' : null);
  if (range === null) {
    range = layout.model === 'rgb' ? 'full' : 'narrow';
    notes.push(`the file declares no quantisation range: ${range} was assumed`);
  }
  const stated = colour?.matrix ?? nameIn(MATRIX_NAMES, declared.matrix);
  const matrix = layout.model === 'ycbcr' ? (stated === 'gbr' ? null : stated) : 'gbr';
  return {
    range,
    matrix,
    transfer: codedTransfer(colour?.transfer ?? nameIn(TRANSFER_NAMES, declared.transfer), video.pixelFormat),
    primaries: colour?.primaries ?? nameIn(PRIMARIES_NAMES, declared.primaries),
    notes,
  };
}
