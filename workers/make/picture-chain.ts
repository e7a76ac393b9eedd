import type { ScanName } from '../../jobs/manifest/colour.js';
import type { VideoFacts } from '../../jobs/manifest/facts.js';
import type { OutputRecipe } from '../../jobs/plan/plan.js';
import { describePixelFormat } from '../probe/pixel-format.js';
import type { BakedFiles } from '../rendering/bake-files.js';
import { renderingFilters } from '../rendering/filters.js';
import { burnInFilters } from './burn-in.js';
import { type ChromaSiting, outputSiting, saysSiting, sourceSiting } from './chroma-siting.js';
import { type FieldMode, setParams } from './colour-arguments.js';
import { fitFilters } from './fit-filters.js';

export interface PictureChain {
  /** Filters in order, each already escaped. */
  readonly filters: readonly string[];
  readonly siting: ChromaSiting;
}

const FIELD_MODES: Readonly<Record<ScanName, FieldMode>> = {
  progressive: 'prog',
  'interlaced-tff': 'tff',
  'interlaced-bff': 'bff',
};

/**
 * Metadata of the original that rides on frames and that newer encoders write by themselves. It describes the
 * original's picture; what describes the output's is in the recipe and is written explicitly.
 */
const STALE_SIDE_DATA = [
  'MASTERING_DISPLAY_METADATA',
  'CONTENT_LIGHT_LEVEL',
  'DYNAMIC_HDR_PLUS',
  'DISPLAYMATRIX',
];

/**
 * Every change between the decoded and the encoded picture, in order: read it right (tags mended by the
 * plan), turn, deinterlace, time, size and colour, fit, burn in, tag. A step that has nothing to do is not
 * there, and where nothing at all is to do the code values pass through untouched.
 */
export function pictureChain(
  video: VideoFacts,
  recipe: OutputRecipe,
  baked: BakedFiles | null,
  fontFile: string | null,
): PictureChain {
  // Alpha is kept only where nothing is done to the picture but, at most, another packing of the same
  // samples.
  const planar = recipe.video.alpha
    ? recipe.video.pixelFormat
    : planarFormat(video.pixelFormat, isOnSide(recipe));
  const { filters, siting } = colourAndSize(video, recipe, baked, planar);
  const chain = [
    ...STALE_SIDE_DATA.map((type) => `sidedata=mode=delete:type=${type}`),
    setParams(recipe.sourceColour, FIELD_MODES[recipe.sourceScan]),
    ...repack(video.pixelFormat, planar, recipe.sourceColour.range),
    ...turn(recipe.rotation),
    ...(recipe.deinterlace
      ? [`bwdif=mode=send_frame:parity=${recipe.sourceScan === 'interlaced-bff' ? 'bff' : 'tff'}:deint=all`]
      : []),
    // One frame per tick of the rate, the first where it is. For a clip of constant rate that is each frame
    // once; a gap is filled, so that sound stays with its picture.
    ...evenRate(video, recipe),
    ...filters,
    ...fitFilters(recipe),
    ...burnInFilters(recipe, video.frameRate, fontFile),
    setAspect(recipe.sampleAspect),
    setParams(recipe.colour, FIELD_MODES[recipe.scan]),
    `format=${recipe.video.pixelFormat}`,
  ];
  return { filters: chain, siting };
}

/** Left to itself the filter rounds an aspect to terms of 100 at most: 160/99 became 97/60. */
function setAspect(aspect: string): string {
  const most = Math.max(...aspect.split('/').map(Number));
  return `setsar=sar=${aspect}${most > 100 ? `:max=${most}` : ''}`;
}

/**
 * Frames that are off the places of the rate are rounded so that none is lost, as the probe found. The last
 * one is held for longer and the end cut where it belongs: by itself `fps` drops a last frame that is over
 * before half its time.
 */
export function evenRate({ steady }: VideoFacts, { frameRate }: Pick<OutputRecipe, 'frameRate'>): string[] {
  if (steady === undefined || steady.rate !== frameRate) return [`fps=fps=${frameRate}`];
  return [
    `tpad=stop_mode=clone:stop=${steady.hold + 2}`,
    `fps=fps=${frameRate}:round=${steady.round}`,
    `trim=end_frame=${steady.frames}`,
  ];
}

function colourAndSize(
  video: VideoFacts,
  recipe: OutputRecipe,
  baked: BakedFiles | null,
  planar: string,
): PictureChain {
  const { sourceColour: from, colour: to, scan } = recipe;
  const { scaledWidth, scaledHeight } = recipe.raster;
  const [width, height] = isOnSide(recipe) ? [video.height, video.width] : [video.width, video.height];
  const siting = outputSiting(recipe);

  const sameSize = width === scaledWidth && height === scaledHeight;
  const sameCode =
    from.matrix === to.matrix && from.range === to.range && planar === recipe.video.pixelFormat;
  const sited = sourceSiting(video);
  const siteStays = sited === 'left' || recipe.video.chroma !== '4:2:0' || saysSiting(recipe);
  if (recipe.video.alpha || (baked === null && sameSize && sameCode && siteStays))
    return { filters: [], siting: sited };
  const filters = renderingFilters(
    from,
    to,
    baked,
    { pixelFormat: planar, width, height, scan, chromaLocation: sited },
    {
      pixelFormat: recipe.video.pixelFormat,
      width: scaledWidth,
      height: scaledHeight,
      scan,
      chromaLocation: siting,
    },
  );
  return { filters, siting };
}

/**
 * The planar format with the same samples; alpha is dropped and grey gets empty chroma. The filters work on
 * planes; left to itself ffmpeg would put in a conversion of its own choice. Chroma halved one way only
 * cannot be turned.
 */
function planarFormat(pixelFormat: string, onSide: boolean): string {
  const format = describePixelFormat(pixelFormat);
  if (format === null || format.bitDepth > 16) return pixelFormat;
  const depth = format.bitDepth === 8 ? '' : `${format.bitDepth}le`;
  if (format.rgb) return `gbrp${depth}`;
  const isWhole = format.chroma === '4:0:0' || (onSide && format.chroma !== '4:2:0');
  return `yuv${isWhole ? '444' : format.chroma.replaceAll(':', '')}p${depth}`;
}

/** The range is named on both sides: a bare `format` turns full range into narrow on the way. */
function repack(pixelFormat: string, planar: string, range: 'narrow' | 'full'): string[] {
  if (planar === pixelFormat) return [];
  const coded = range === 'narrow' ? 'limited' : 'full';
  return [`scale=in_range=${coded}:out_range=${coded}:flags=accurate_rnd`, `format=${planar}`];
}

function isOnSide({ rotation }: OutputRecipe): boolean {
  return rotation === 90 || rotation === 270;
}

function turn(rotation: OutputRecipe['rotation']): string[] {
  if (rotation === 90) return ['transpose=dir=clock'];
  if (rotation === 270) return ['transpose=dir=cclock'];
  return rotation === 180 ? ['hflip', 'vflip'] : [];
}
