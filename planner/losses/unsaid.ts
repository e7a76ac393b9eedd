import { isCarried } from '../../jobs/codecs/carried.js';
import { codecOfEncoder } from '../../jobs/codecs/picture-codecs.js';
import { container } from '../../jobs/containers/containers.js';
import type { VideoFacts } from '../../jobs/manifest/facts.js';
import type { Loss, OutputRecipe } from '../../jobs/plan/plan.js';
import { equalRationals, formatRational, parseRational, rational } from '../../signal/rational.js';
import { timecodeAtRate } from '../../signal/timecode-at-rate.js';

/**
 * What the original declares about its picture and this codec in this container cannot declare, each as a
 * loss.
 */
export function nameUnsaid(source: VideoFacts, recipe: OutputRecipe): Loss[] {
  const losses = [
    ...[aspectLoss(recipe), sitingLoss(source, recipe), timecodeLoss(source, recipe)],
    rateLoss(recipe),
  ];
  return losses.filter((loss) => loss !== null);
}

function aspectLoss({ container: name, sampleAspect, raster }: OutputRecipe): Loss | null {
  const aspect = parseRational(sampleAspect);
  if (aspect === null || !container(name).wholeShownWidth) return null;
  const shown = Math.round((raster.width * aspect.num) / aspect.den);
  const back = rational(shown, raster.width);
  if (equalRationals(back, aspect)) return null;
  return {
    what: 'sample-aspect',
    why: `${name} stores the displayed width in whole pixels: the sample aspect ${sampleAspect} becomes ${formatRational(back)}`,
  };
}

function sitingLoss({ chroma, chromaLocation }: VideoFacts, recipe: OutputRecipe): Loss | null {
  const codec = codecOfEncoder(recipe.video.encoder);
  const isElsewhere = chromaLocation === 'topleft' || chromaLocation === 'center';
  if (chroma !== '4:2:0' || recipe.video.chroma !== '4:2:0' || !isElsewhere) return null;
  if (isCarried('chroma-siting', codec, recipe.container)) return null;
  return {
    what: 'chroma-siting',
    why: `${codec.name} in ${recipe.container} cannot declare the chroma siting: chroma is moved from ${chromaLocation} to left, which players assume`,
  };
}

function timecodeLoss({ frameRate }: VideoFacts, recipe: OutputRecipe): Loss | null {
  const { timecode, frameRate: to } = recipe;
  if (timecode !== null && !container(recipe.container).keepsTimecode) {
    return {
      what: 'timecode',
      why: `${recipe.container}, as ffmpeg writes it, has no timecode: ${timecode} of the first frame is in the report only`,
    };
  }
  if (timecode === null || timecodeAtRate(timecode, frameRate ?? to, to) !== null) return null;
  return {
    what: 'timecode',
    why: `the start timecode ${timecode} does not exist at ${to} frames/s: the output has none`,
  };
}

function rateLoss({ container: name, frameRate }: OutputRecipe): Loss | null {
  if (container(name).keepsRate) return null;
  return {
    what: 'rate',
    why: `${name}, as ffmpeg writes it, states no rate: tell whoever gets it that it is ${frameRate} frames a second`,
  };
}
