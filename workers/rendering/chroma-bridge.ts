import type { Colour } from '../../jobs/manifest/colour.js';
import type { PictureFormat } from './picture-format.js';
import type { PixelLayout } from './pixel-format.js';

/**
 * A 16-bit intermediate format for zscale where it cannot process the real one: odd sizes, and chroma of
 * fields.
 */
export function bridgeFormat(
  { shiftX, shiftY }: PixelLayout,
  { width, height, scan }: PictureFormat,
): string | null {
  if (width % (1 << shiftX) !== 0 || height % (1 << shiftY) !== 0) return 'yuv444p16le';
  return scan !== 'progressive' && shiftY > 0 ? 'yuv422p16le' : null;
}

/**
 * The step between the real format and the intermediate one, by swscale: depth and chroma only.
 *
 * @param side from the real format to the intermediate one (`in`) or back (`out`)
 */
export function swscaleTo(
  format: string,
  { range, matrix }: Colour,
  { scan, chromaLocation, height }: PictureFormat,
  side: 'in' | 'out',
): string[] {
  const coded = range === 'narrow' ? 'limited' : 'full';
  const yuv = SWSCALE_MATRIX[matrix];
  const scale = `scale=flags=bicubic+accurate_rnd+full_chroma_inp:in_range=${coded}:out_range=${coded}:in_color_matrix=${yuv}:out_color_matrix=${yuv}`;
  const isProgressive = scan === 'progressive';
  if (!isProgressive && height % 4 === 0) return fieldByField(scale, format, side);
  const siting = chromaLocation === 'topleft' && isProgressive ? ':in_v_chr_pos=0:out_v_chr_pos=0' : '';
  return [`${scale}:interl=${isProgressive ? 0 : 1}${siting}`, `format=${format}`];
}

/**
 * 4:2:0 chroma of fields sits a quarter of a field line below the upper of its two lines in the top field,
 * and three quarters in the bottom field (ITU-T H.273 and H.264, figures on chroma of fields; MPEG-2).
 * swscale does this in 8-bit pictures only: at other depths both fields get the position between, and their
 * chroma moves half a frame line in opposite directions. So each field is scaled separately, with its
 * position on the 4:2:0 side, and the two are interleaved again.
 */
function fieldByField(scale: string, format: string, side: 'in' | 'out'): string[] {
  const field = (type: 'top' | 'bottom', place: number): string =>
    `[${side}${type}]field=type=${type},${scale}:${side}_v_chr_pos=${place},format=${format}[${side}${type}Done]`;
  return [
    [
      `split=2[${side}top][${side}bottom]`,
      field('top', 64),
      field('bottom', 192),
      `[${side}topDone][${side}bottomDone]vstack,il=luma_mode=interleave:chroma_mode=interleave`,
    ].join(';'),
  ];
}

const SWSCALE_MATRIX: Readonly<Record<Colour['matrix'], string>> = {
  bt709: 'bt709',
  bt2020nc: 'bt2020',
  smpte170m: 'smpte170m',
  bt470bg: 'smpte170m',
  gbr: 'bt709',
};
