import type { Colour } from '../../jobs/manifest/colour.js';
import { frameTags } from '../rendering/frame-tags.js';

/**
 * H.273 has code points for standard colour only. A camera curve or gamut is tagged `unknown` (code point 2,
 * unspecified): with a wrong tag, players and grading systems would silently convert the picture. The batch
 * names the colour of such a file, since tags cannot. Matrix and range are always tagged: without them R'G'B'
 * cannot be recovered. Source: ITU-T H.273, tables 2, 3 and 4.
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

/** The same tags on the frames: some encoders and filters use those instead of the options. */
export function setParams(colour: Colour, fieldMode: FieldMode): string {
  const { primaries, transfer, matrix, range } = frameTags(colour);
  return `setparams=field_mode=${fieldMode}:range=${range}:color_primaries=${primaries}:color_trc=${transfer}:colorspace=${matrix}`;
}
