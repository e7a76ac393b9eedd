import type { ChromaName } from '../../jobs/manifest/colour.js';

export interface PixelFormat {
  /** Bits of one component; the largest where they differ. */
  readonly bitDepth: number;
  readonly chroma: ChromaName;
  readonly rgb: boolean;
}

/** Y'CbCr subsampling digits of ffmpeg's planar names. 4:4:0 and 4:1:0 have no name in our documents. */
const SUBSAMPLING: Readonly<Record<string, ChromaName>> = {
  '444': '4:4:4',
  '422': '4:2:2',
  '420': '4:2:0',
  '411': '4:1:1',
};
/** Packed and semi-planar formats, whose names follow no rule. */
const IRREGULAR: Readonly<Record<string, PixelFormat>> = {
  ...each(['yuyv422', 'uyvy422', 'yvyu422', 'nv16'], { bitDepth: 8, chroma: '4:2:2', rgb: false }),
  ...each(['nv20', 'y210', 'p210'], { bitDepth: 10, chroma: '4:2:2', rgb: false }),
  ...each(['y212', 'p212'], { bitDepth: 12, chroma: '4:2:2', rgb: false }),
  ...each(['y216', 'p216'], { bitDepth: 16, chroma: '4:2:2', rgb: false }),
  ...each(['nv12', 'nv21'], { bitDepth: 8, chroma: '4:2:0', rgb: false }),
  ...each(['p010'], { bitDepth: 10, chroma: '4:2:0', rgb: false }),
  ...each(['p012'], { bitDepth: 12, chroma: '4:2:0', rgb: false }),
  ...each(['p016'], { bitDepth: 16, chroma: '4:2:0', rgb: false }),
  ...each(['uyyvyy411'], { bitDepth: 8, chroma: '4:1:1', rgb: false }),
  ...each(['nv24', 'nv42', 'vuya', 'vuyx', 'ayuv', 'uyva', 'vyu444'], {
    bitDepth: 8,
    chroma: '4:4:4',
    rgb: false,
  }),
  ...each(['p410', 'xv30', 'v30x'], { bitDepth: 10, chroma: '4:4:4', rgb: false }),
  ...each(['p412', 'xv36'], { bitDepth: 12, chroma: '4:4:4', rgb: false }),
  ...each(['p416', 'xv48', 'ayuv64'], { bitDepth: 16, chroma: '4:4:4', rgb: false }),
  ...each(['xyz12'], { bitDepth: 12, chroma: '4:4:4', rgb: false }),
  ...each(['rgb24', 'bgr24', 'argb', 'rgba', 'abgr', 'bgra', '0rgb', 'rgb0', '0bgr', 'bgr0', 'pal8'], {
    bitDepth: 8,
    chroma: '4:4:4',
    rgb: true,
  }),
  ...each(['x2rgb10', 'x2bgr10'], { bitDepth: 10, chroma: '4:4:4', rgb: true }),
  ...each(['rgb48', 'bgr48', 'rgba64', 'bgra64', 'rgbf16', 'rgbaf16'], {
    bitDepth: 16,
    chroma: '4:4:4',
    rgb: true,
  }),
  ...each(['rgbf32', 'rgbaf32', 'rgb96', 'rgba128'], { bitDepth: 32, chroma: '4:4:4', rgb: true }),
  ...each(['ya8'], { bitDepth: 8, chroma: '4:0:0', rgb: false }),
  ...each(['ya16', 'yaf16'], { bitDepth: 16, chroma: '4:0:0', rgb: false }),
  ...each(['yaf32'], { bitDepth: 32, chroma: '4:0:0', rgb: false }),
};

function each(names: readonly string[], format: PixelFormat): Record<string, PixelFormat> {
  return Object.fromEntries(names.map((name) => [name, format]));
}

/**
 * Depth, subsampling and model of an ffmpeg pixel format, from its name. Null for formats that clips do not
 * have (hardware surfaces, 4:1:0, raw sensor mosaics, ...). Alpha is ignored.
 */
export function describePixelFormat(name: string): PixelFormat | null {
  const base = name.replace(/(le|be)$/, '');
  const irregular = IRREGULAR[base];
  if (irregular) return irregular;
  const yuv = /^yuva?j?(444|422|420|411)p(\d*)(?:msb)?$/.exec(base);
  if (yuv) {
    const chroma = SUBSAMPLING[yuv[1] ?? ''];
    return chroma ? { bitDepth: yuv[2] ? Number(yuv[2]) : 8, chroma, rgb: false } : null;
  }
  const gbr = /^gbra?p(?:f(\d+)|(\d*)(?:msb)?)$/.exec(base);
  if (gbr) return { bitDepth: Number(gbr[1] || gbr[2] || 8), chroma: '4:4:4', rgb: true };
  const gray = /^gray(?:f(\d+)|(\d*))$/.exec(base);
  if (gray) return { bitDepth: Number(gray[1] || gray[2] || 8), chroma: '4:0:0', rgb: false };
  return null;
}
