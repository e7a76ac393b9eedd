import { SAMPLES_PER_PIXEL } from '../../jobs/codecs/picture-codec.js';
import { pictureCodec } from '../../jobs/codecs/picture-codecs.js';
import type { ClipFacts, VideoFacts } from '../../jobs/manifest/facts.js';
import type { Loss, OutputRecipe } from '../../jobs/plan/plan.js';
import type { MakeRecipe } from '../../jobs/targets/target.js';
import { firstOf } from '../../jobs/words/numbers.js';
import { stops } from '../../jobs/words/quantities.js';
import { parseRational, toNumber } from '../../signal/rational.js';
import { isCameraLog } from '../../signal/transfer/transfer-functions.js';
import { lookInWords } from '../clip-look.js';
import { nameUnsaid } from './unsaid.js';

function isLossyCoding(make: MakeRecipe): boolean {
  return pictureCodec(make.video.codec).fidelity !== 'exact' && !make.video.lossless;
}

/** The built-in target that loses no depth, for whoever chose a coding without loss; of others nothing. */
function depthKept({ bitDepth }: VideoFacts, make: MakeRecipe, { rendering }: OutputRecipe): string {
  return isLossyCoding(make) || rendering !== null ? '' : `; archive-ffv1 keeps all ${bitDepth}`;
}

/** Everything of the original that the output will not keep, each in one sentence. */
export function nameLosses(source: VideoFacts, make: MakeRecipe, recipe: OutputRecipe): Loss[] {
  const losses: Loss[] = [];
  const add = (what: string, why: string) => losses.push({ what, why });
  const { video, raster } = recipe;

  if (video.bitDepth < source.bitDepth) {
    add(
      'depth',
      `${source.bitDepth} bits become ${video.bitDepth}: ${2 ** (source.bitDepth - video.bitDepth)} values become one (dithered)${depthKept(source, make, recipe)}`,
    );
  }
  const before = source.chroma === null ? undefined : SAMPLES_PER_PIXEL[source.chroma];
  const after = SAMPLES_PER_PIXEL[video.chroma];
  if (before !== undefined && after < before) {
    add('chroma', `chroma goes from ${source.chroma} to ${video.chroma}: finer colour detail is lost`);
  }
  if (recipe.colour.matrix === 'gbr' && recipe.sourceColour.matrix !== 'gbr') {
    add(
      'matrix',
      `Y'CbCr becomes RGB: each value is rounded once more, by at most one code at ${video.bitDepth} bits`,
    );
  }
  if (
    recipe.rendering === null &&
    recipe.colour.range !== recipe.sourceColour.range &&
    (recipe.colour.matrix !== 'gbr' || recipe.sourceColour.matrix === 'gbr')
  ) {
    add(
      'range',
      `${recipe.sourceColour.range} range becomes ${recipe.colour.range}, the only range that ${make.video.codec} in ${recipe.container} can declare: values are rescaled and rounded`,
    );
  }
  if (
    recipe.rendering === null &&
    recipe.colour.range !== recipe.sourceColour.range &&
    isCameraLog(recipe.sourceColour.transfer)
  ) {
    add(
      'log-codes',
      `the codes of ${recipe.sourceColour.transfer} go from ${recipe.sourceColour.range} to ${recipe.colour.range} range: read by the camera's formula they stand for other light, most of all in highlights; effects-exr-linear keeps the light`,
    );
  }
  const turned = recipe.rotation === 90 || recipe.rotation === 270;
  const sourceWidth = turned ? source.height : source.width;
  const sourceHeight = turned ? source.width : source.height;
  if (raster.scaledWidth !== sourceWidth || raster.scaledHeight !== sourceHeight) {
    const smaller = raster.scaledWidth * raster.scaledHeight < sourceWidth * sourceHeight;
    add(
      'raster',
      `the picture is scaled from ${sourceWidth}x${sourceHeight} to ${raster.scaledWidth}x${raster.scaledHeight}${smaller ? ': finer detail is lost' : ''}`,
    );
  }
  if (raster.fit === 'repeat') {
    add(
      'raster',
      `${raster.width}x${raster.height} instead of ${sourceWidth}x${sourceHeight}: ${make.video.codec} allows no odd size at ${video.chroma}, so the last ${raster.width > sourceWidth ? 'column' : 'line'}${raster.width > sourceWidth && raster.height > sourceHeight ? ' and line are' : ' is'} repeated`,
    );
  }
  if (raster.fit === 'crop') {
    add('crop', `the picture is cut to ${raster.width}x${raster.height}: edges are lost`);
  }
  if (recipe.deinterlace) add('interlace', 'fields are merged into frames: half of the motion is lost');
  if (source.constantRate === false) {
    add(
      'rate',
      `the original has a variable rate: frames are repeated or dropped to make ${recipe.frameRate} exactly`,
    );
  } else if (source.frameRate !== null) {
    const from = parseRational(source.frameRate);
    const to = parseRational(recipe.frameRate);
    if (from && to && toNumber(from) !== toNumber(to)) {
      add(
        'rate',
        `the rate goes from ${source.frameRate} to ${recipe.frameRate}: frames are repeated or dropped`,
      );
    }
  }
  if (recipe.rendering !== null) {
    const { from, to, exposure } = recipe.rendering;
    add(
      'rendering',
      `colour is rendered from ${from.transfer}/${from.primaries} to ${to.transfer}/${to.primaries}${lookInWords(recipe.rendering)}${exposure === 0 ? '' : `, ${stops(exposure)}`}: this file cannot be graded like the original`,
    );
  }
  if (recipe.burnIn !== null) add('burn-in', 'text is burnt into the picture');
  if (isLossyCoding(make)) {
    add(
      'lossy-coding',
      // Eleven bits of each value are kept (IEEE 754-2019, binary16).
      make.video.codec === 'exr'
        ? 'light is rounded to half floats: by at most 0.05 % of each value'
        : `${make.video.codec}${video.profile === null ? '' : ` ${video.profile}`} is lossy: small differences in every frame`,
    );
  }
  return [...losses, ...nameUnsaid(source, recipe)];
}

/** What becomes of the floats of a picture, whose light is read in 16-bit codes. */
export function nameFloats({ pixelFormat }: Pick<VideoFacts, 'pixelFormat'>): Loss[] {
  if (!/f32(le|be)$/.test(pixelFormat)) return [];
  return [
    {
      what: 'floats',
      why: 'floats are read as 16-bit codes in steps of PQ: less than 0.15 % apart above a hundredth of a white diffuser; light below zero becomes black',
    },
  ];
}

/** Frames of a picture sequence that are not there, and what stands in their place. */
export function nameMissingFrames({ sequence }: Pick<ClipFacts, 'sequence'>): Loss[] {
  return (sequence?.faults ?? [])
    .filter(({ why, numbers }) => numbers.length > 0 && (why === 'missing' || why.startsWith('empty')))
    .map(({ why, numbers }) => ({
      what: 'missing-frames',
      why: `${why}: ${firstOf(numbers, 10)}; the frame before stands in the place of each`,
    }));
}
