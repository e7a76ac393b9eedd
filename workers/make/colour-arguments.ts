import type { Colour } from '../../jobs/manifest/colour.js';
import { frameTags } from '../rendering/frame-tags.js';

/**
 * H.273 has code points for standard colour only. A camera curve or gamut is tagged `unknown` (code point 2,
 * unspecified): a wrong tag makes every player and grader convert, silently, what must stay as it is. What
 * such a file holds is said in the batch, not in tags that cannot say it. Matrix and range are always tagged:
 * without them nobody gets back to R'G'B'. Source: ITU-T H.273, tables 2, 3 and 4.
 *
 * Encoder options that write the tags into bitstream and container. ffmpeg's option calls the matrix gbr
 * `rgb`.
 */
export function tagOptions(colour: Colour): string[] {
  const { primaries, transfer, matrix, range } = frameTags(colour);
  return [
    ...['-color_primaries', primaries, '-color_trc', transfer],
    ...['-colorspace', matrix === 'gbr' ? 'rgb' : matrix, '-color_range', range],
  ];
}

export type FieldMode = 'prog' | 'tff' | 'bff';

/** The same on the frames: some encoders and filters believe the frame and not the option. */
export function setParams(colour: Colour, fieldMode: FieldMode): string {
  const { primaries, transfer, matrix, range } = frameTags(colour);
  return `setparams=field_mode=${fieldMode}:range=${range}:color_primaries=${primaries}:color_trc=${transfer}:colorspace=${matrix}`;
}
