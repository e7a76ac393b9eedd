import type { Colour } from '../../../jobs/manifest/colour.js';
import type { VideoFacts } from '../../../jobs/manifest/facts.js';
import type { OutputRecipe } from '../../../jobs/plan/plan.js';
import { describePixelFormat } from '../../probe/pixel-format.js';

/** A picture whose steps are not known, and what its codes mean. */
export interface SeenPicture {
  readonly video: VideoFacts;
  readonly colour: Colour;
}

/** Why two files cannot be compared sample by sample. */
export interface NotComparable {
  readonly why: string;
}

export function isComparable<T extends object>(found: T | NotComparable): found is T {
  return !('why' in found);
}

/**
 * The recipe that makes an original like its copy where the copy's own is not known: its size, sampling,
 * matrix and range, and neither curve nor gamut. What else differs is what the comparison is to show.
 */
export function recipeAlike(original: SeenPicture, copy: SeenPicture): OutputRecipe | NotComparable {
  const format = describePixelFormat(copy.video.pixelFormat);
  if (format === null) return { why: `the copy's pixel format ${copy.video.pixelFormat} cannot be read` };
  const { width, height } = copy.video;
  const scan = original.video.scan ?? 'progressive';
  // A copy that is to be turned by its player was stored as the original was.
  const turned = (original.video.rotation - copy.video.rotation + 720) % 360;
  const rotation = ([0, 90, 180, 270] as const).find((degrees) => degrees === turned);
  if (rotation === undefined) return { why: `the original is turned by ${original.video.rotation} degrees` };
  const deinterlace = scan !== 'progressive' && copy.video.scan === 'progressive';
  return {
    container: 'mkv',
    video: {
      ...{ encoder: 'ffv1', profile: null, pixelFormat: planarName(format), bitDepth: format.bitDepth },
      ...{ chroma: format.chroma, alpha: false, crf: null, lossless: true, maxBitRate: null },
    },
    raster: { width, height, fit: 'exact', scaledWidth: width, scaledHeight: height },
    ...{ sampleAspect: '1/1', rotation, deinterlace },
    frameRate: original.video.frameRate ?? '25/1',
    sourceScan: scan,
    scan: deinterlace ? 'progressive' : scan,
    sourceColour: original.colour,
    colour: { ...original.colour, matrix: copy.colour.matrix, range: copy.colour.range },
    ...{ rendering: null, hdr: { mastering: null, lightLevel: null }, burnIn: null, timecode: null },
    ...{ reel: null, carry: null, audio: null },
  };
}

/**
 * The recipe of a copy as its original is taken through it: the same steps, but rounded no coarser than the
 * original itself, so that bits the copy dropped are seen; without alpha, which is not compared.
 */
export function referenceRecipe(recipe: OutputRecipe, original: VideoFacts): OutputRecipe | NotComparable {
  if (recipe.burnIn !== null) return { why: 'text is burnt into the copy' };
  const { chroma, bitDepth, pixelFormat } = recipe.video;
  const format = describePixelFormat(pixelFormat);
  if (format === null || format.bitDepth > 16) return { why: `${pixelFormat} is not compared` };
  if (chroma === '4:1:1' && bitDepth < original.bitDepth) {
    return { why: 'ffmpeg has no deeper form of 4:1:1' };
  }
  const depth = bitDepth >= original.bitDepth ? bitDepth : 16;
  const planar = planarName({ ...format, bitDepth: depth });
  return { ...recipe, video: { ...recipe.video, alpha: false, pixelFormat: planar, bitDepth: depth } };
}

/** ffmpeg's planar name of a format. */
function planarName({
  bitDepth,
  chroma,
  rgb,
}: {
  readonly bitDepth: number;
  readonly chroma: string;
  readonly rgb: boolean;
}): string {
  const depth = bitDepth === 8 ? '' : `${bitDepth}le`;
  if (rgb) return `gbrp${depth}`;
  return chroma === '4:0:0' ? `gray${depth}` : `yuv${chroma.replaceAll(':', '')}p${depth}`;
}
