import type { ScanName } from '../../jobs/manifest/colour.js';
import type { VideoFacts } from '../../jobs/manifest/facts.js';
import type { OutputRecipe } from '../../jobs/plan/plan.js';
import { describePixelFormat } from '../probe/pixel-format.js';
import type { BakedFiles } from '../rendering/bake-files.js';
import { renderingFilters } from '../rendering/filters.js';
import { codesOfFloats, FLOATS_TO_CODES } from '../rendering/floats.js';
import { burnInFilters } from './burn-in.js';
import { type ChromaSiting, declaresSiting, outputSiting, sourceSiting } from './chroma-siting.js';
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
 * Metadata of the original that is attached to frames and that newer encoders write by default. It describes
 * the original; metadata of the output is in the recipe and is written explicitly.
 */
const STALE_SIDE_DATA = [
  'MASTERING_DISPLAY_METADATA',
  'CONTENT_LIGHT_LEVEL',
  'DYNAMIC_HDR_PLUS',
  'DISPLAYMATRIX',
];

/**
 * Every step between the decoded and the encoded picture, in order: tags as corrected by the plan, rotation,
 * deinterlacing, frame rate, size and colour, fit, burn-in, tags of the output. Steps that are not needed are
 * left out; without any step the code values are unchanged.
 */
export function pictureChain(
  video: VideoFacts,
  recipe: OutputRecipe,
  baked: BakedFiles | null,
  fontFile: string | null,
): PictureChain {
  // Alpha is kept only where the picture is at most repacked.
  const planar = recipe.video.alpha
    ? recipe.video.pixelFormat
    : planarFormat(video.pixelFormat, isRotatedSideways(recipe));
  const { filters, siting } = colourAndSize(video, recipe, baked, planar);
  const chain = [
    ...STALE_SIDE_DATA.map((type) => `sidedata=mode=delete:type=${type}`),
    setParams(recipe.sourceColour, FIELD_MODES[recipe.sourceScan]),
    ...repack(video.pixelFormat, planar, recipe.sourceColour.range),
    ...turn(recipe.rotation),
    ...(recipe.deinterlace
      ? [`bwdif=mode=send_frame:parity=${recipe.sourceScan === 'interlaced-bff' ? 'bff' : 'tff'}:deint=all`]
      : []),
    // One frame for each frame time of the rate. A clip of constant rate keeps each frame once; a gap is
    // filled, so that sound stays in sync.
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

/** By default the filter rounds an aspect to terms of at most 100: 160/99 becomes 97/60. */
function setAspect(aspect: string): string {
  const most = Math.max(...aspect.split('/').map(Number));
  return `setsar=sar=${aspect}${most > 100 ? `:max=${most}` : ''}`;
}

/**
 * Rounds irregular frame times to the rate without losing a frame, as the probe calculated. The last frame is
 * repeated and then trimmed to the right length: otherwise `fps` drops a last frame that is shorter than half
 * its time.
 */
export function evenRate({ steady }: VideoFacts, { frameRate }: Pick<OutputRecipe, 'frameRate'>): string[] {
  if (steady === undefined || steady.rate !== frameRate) return [`fps=fps=${frameRate}`];
  return [
    `tpad=stop_mode=clone:stop=${steady.hold + 2}`,
    `fps=fps=${frameRate}:round=${steady.round}`,
    `trim=end_frame=${steady.frames}`,
  ];
}

const PLANES_OF: Readonly<Record<string, string>> = { bgr0: 'gbrp', rgb24: 'gbrp', rgb48le: 'gbrp16le' };

function colourAndSize(
  video: VideoFacts,
  recipe: OutputRecipe,
  baked: BakedFiles | null,
  planar: string,
): PictureChain {
  const { sourceColour: from, colour: to, scan } = recipe;
  const { scaledWidth, scaledHeight } = recipe.raster;
  const [width, height] = isRotatedSideways(recipe)
    ? [video.height, video.width]
    : [video.width, video.height];
  const siting = outputSiting(recipe);
  // RGB that the encoder takes packed is packed at the end: its samples are the same.
  const coded = PLANES_OF[recipe.video.pixelFormat] ?? recipe.video.pixelFormat;

  const sameSize = width === scaledWidth && height === scaledHeight;
  const sameCode = from.matrix === to.matrix && from.range === to.range && planar === coded;
  const sourceSited = sourceSiting(video);
  const keepsSiting = sourceSited === 'left' || recipe.video.chroma !== '4:2:0' || declaresSiting(recipe);
  if (recipe.video.alpha || (baked === null && sameSize && sameCode && keepsSiting))
    return { filters: [], siting: sourceSited };
  const filters = renderingFilters(
    from,
    to,
    baked,
    { pixelFormat: planar, width, height, scan, chromaLocation: sourceSited },
    {
      pixelFormat: coded,
      width: scaledWidth,
      height: scaledHeight,
      scan,
      chromaLocation: siting,
    },
  );
  return { filters, siting };
}

/**
 * The planar format with the same samples; alpha is dropped and grey gets neutral chroma. The filters need
 * planes; otherwise ffmpeg would insert a conversion of its own choice. Chroma that is halved in one
 * direction only cannot be rotated.
 */
function planarFormat(pixelFormat: string, sideways: boolean): string {
  const codes = codesOfFloats(pixelFormat);
  if (codes !== null) return codes;
  const format = describePixelFormat(pixelFormat);
  if (format === null || format.bitDepth > 16) return pixelFormat;
  const depth = format.bitDepth === 8 ? '' : `${format.bitDepth}le`;
  if (format.rgb) return `gbrp${depth}`;
  const isWhole = format.chroma === '4:0:0' || (sideways && format.chroma !== '4:2:0');
  return `yuv${isWhole ? '444' : format.chroma.replaceAll(':', '')}p${depth}`;
}

/** The range is set on both sides: a `format` filter alone would convert full range to narrow. */
function repack(pixelFormat: string, planar: string, range: 'narrow' | 'full'): string[] {
  if (planar === pixelFormat) return [];
  if (codesOfFloats(pixelFormat) !== null) return [...FLOATS_TO_CODES];
  const coded = range === 'narrow' ? 'limited' : 'full';
  return [`scale=in_range=${coded}:out_range=${coded}:flags=accurate_rnd`, `format=${planar}`];
}

function isRotatedSideways({ rotation }: OutputRecipe): boolean {
  return rotation === 90 || rotation === 270;
}

function turn(rotation: OutputRecipe['rotation']): string[] {
  if (rotation === 90) return ['transpose=dir=clock'];
  if (rotation === 270) return ['transpose=dir=cclock'];
  return rotation === 180 ? ['hflip', 'vflip'] : [];
}
