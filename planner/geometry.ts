import type { ChromaName } from '../jobs/manifest/colour.js';
import type { OutputRecipe } from '../jobs/plan/plan.js';
import type { MakeRecipe } from '../jobs/targets/target.js';
import { formatRational, type Rational, rational } from '../signal/rational.js';

export interface SourceRaster {
  readonly width: number;
  readonly height: number;
  readonly sampleAspect: Rational;
}

export interface PlannedRaster {
  readonly raster: OutputRecipe['raster'];
  readonly sampleAspect: string;
}

/** Rounds to sizes a chroma format allows: 4:2:0 needs both even, 4:2:2 an even width. */
function toGrid(value: number, step: number): number {
  return Math.max(step, Math.round(value / step) * step);
}

/**
 * The size of the output and of the scaled picture in it.
 *
 * `source` keeps raster and pixel aspect as they are; the other forms make square pixels, never enlarge for
 * `maxWidth`/`maxHeight`, and fill an exact raster by padding or cropping. Sizes in pixels.
 *
 * @param oddSizes whether the codec allows odd sizes with subsampled chroma
 */
export function planRaster(
  source: SourceRaster,
  requested: MakeRecipe['raster'],
  chroma: ChromaName,
  oddSizes: boolean,
): PlannedRaster {
  const stepX = chroma === '4:2:0' || chroma === '4:2:2' ? 2 : chroma === '4:1:1' ? 4 : 1;
  const stepY = chroma === '4:2:0' ? 2 : 1;
  if (requested === 'source') {
    // Where the codec allows no odd size with subsampled chroma, the edge is repeated rather than the picture
    // scaled.
    const width = oddSizes ? source.width : Math.ceil(source.width / stepX) * stepX;
    const height = oddSizes ? source.height : Math.ceil(source.height / stepY) * stepY;
    return {
      raster: {
        width,
        height,
        fit: width === source.width && height === source.height ? 'exact' : 'repeat',
        scaledWidth: source.width,
        scaledHeight: source.height,
      },
      sampleAspect: formatRational(source.sampleAspect),
    };
  }
  const displayWidth = (source.width * source.sampleAspect.num) / source.sampleAspect.den;
  const square = formatRational(rational(1));
  if ('maxWidth' in requested) {
    const scale = Math.min(1, requested.maxWidth / displayWidth, requested.maxHeight / source.height);
    const width = Math.min(toGrid(displayWidth * scale, stepX), requested.maxWidth);
    const height = Math.min(toGrid(source.height * scale, stepY), requested.maxHeight);
    return {
      raster: { width, height, fit: 'exact', scaledWidth: width, scaledHeight: height },
      sampleAspect: square,
    };
  }
  const ratioX = requested.width / displayWidth;
  const ratioY = requested.height / source.height;
  const scale = requested.fit === 'pad' ? Math.min(ratioX, ratioY) : Math.max(ratioX, ratioY);
  const scaledWidth = toGrid(displayWidth * scale, stepX);
  const scaledHeight = toGrid(source.height * scale, stepY);
  const exact = scaledWidth === requested.width && scaledHeight === requested.height;
  return {
    raster: {
      width: requested.width,
      height: requested.height,
      fit: exact ? 'exact' : requested.fit,
      scaledWidth,
      scaledHeight,
    },
    sampleAspect: square,
  };
}
