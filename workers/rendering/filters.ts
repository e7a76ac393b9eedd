import { GoodgateError } from '../../jobs/errors.js';
import type { Colour } from '../../jobs/manifest/colour.js';
import { chromaLevels, lumaLevels } from '../../signal/quantise.js';
import { codeFractionOfNominal, nominalOfCodeFraction } from '../../signal/rendering/rendering-colour.js';
import { isCameraLog } from '../../signal/transfer/transfer-functions.js';
import { escapeFilterValue } from '../ffmpeg/escape.js';
import type { BakedFiles } from './bake-files.js';
import { bridgeFormat, swscaleTo } from './chroma-bridge.js';
import { frameTags, ZSCALE_MATRIX } from './frame-tags.js';
import type { PictureFormat } from './picture-format.js';
import { type PixelLayout, pixelLayout, planarFormat } from './pixel-format.js';

/**
 * The filter chain that converts a picture from one colour and format to another: colour, matrix, range,
 * depth, chroma and raster together. Samples are floats in between; a rendering is clipped to black and white
 * of its range at the raster of the output, in 16 bits, and rounded at the end.
 *
 * Where the depth is reduced, the picture is dithered. A rendering at the depth of its source is rounded
 * instead: measured on a slow 10-bit ramp of S-Log3 and of PQ, no sample is then off by more than half a code
 * and means of 16 x 16 pixels by 0.16 codes rms, 0.1 with camera noise; error diffusion brings the means to
 * 0.01 and makes the samples worse (0.27 to 0.39 codes rms, up to 1), and flat colours uneven.
 *
 * Facts about ffmpeg 5.1, tested, that determine the chain:
 * - zscale is exact in float and respects range, matrix and chroma siting both ways; but where chroma or
 *   lines are resampled its slices do not join exactly, so the result depends on the number of threads: one
 *   thread there.
 * - zscale refuses sizes that its chroma does not divide, and does not support fields; swscale handles both,
 *   and rounds correctly from 16 bits. It is used only for these.
 * - lut1d and lut3d work in float, clip their input to 0..1 and do not clip their output.
 *
 * @param baked null: the signal is kept, only its coding changes (matrix, range, depth, chroma, raster).
 */
export function renderingFilters(
  from: Colour,
  to: Colour,
  baked: BakedFiles | null,
  source: PictureFormat,
  output: PictureFormat,
): string[] {
  const input = pixelLayout(source.pixelFormat);
  const result = pixelLayout(output.pixelFormat);
  if (source.scan !== 'progressive' && source.height !== output.height) throw scalesFields(source, output);
  const planar = planarFormat(source.pixelFormat);
  const bridgeIn = bridgeFormat(input, source);
  const bridgeOut = bridgeFormat(result, output);
  const steps = baked?.steps ?? [];
  // A rendered picture is clipped to black and white of its range; the last step removes what resampling and
  // dithering add.
  // Linear light goes on above white.
  const clips = steps.length > 0 && !isCameraLog(to.transfer) && to.transfer !== 'linear';
  const clipsRgb = clips && result.model === 'yuv';
  const { width, height } = output;
  const throughFloat = steps.length > 0 || hasNarrowRgb(from, input) || hasNarrowRgb(to, result);
  return [
    ...(planar === source.pixelFormat ? [] : [`format=${planar}`]),
    ...(bridgeIn === null ? [] : swscaleTo(bridgeIn, from, source, 'in')),
    ...(throughFloat ? toFloatRgb(from, input, source, steps.length > 0 ? 'fraction' : 'nominal') : []),
    ...steps.map(stepFilter),
    ...(clipsRgb ? scaleAndClip(source, output) : []),
    ...(hasNarrowRgb(to, result) ? [NOMINAL_TO_FRACTION] : []),
    ...encode(
      {
        colour: from,
        layout: clipsRgb ? CLIPPED_RGB : throughFloat ? FLOAT_RGB : input,
        picture: clipsRgb ? { ...source, width, height } : source,
      },
      {
        ...{ colour: to, layout: result, picture: output, format: bridgeOut ?? output.pixelFormat },
        dither: result.depth < input.depth && bridgeOut === null ? 'error_diffusion' : 'none',
      },
    ),
    ...(bridgeOut === null ? [] : swscaleTo(output.pixelFormat, to, output, 'out')),
    ...(clips ? clipCodes(to, result) : []),
    setparams(to, result),
  ];
}

/**
 * Scales to the raster of the output, then clips to 0 to 100 % of R'G'B': sharp resampling overshoots at
 * edges. The conversion to 16-bit integers clips; its step is a sixtieth of a 10-bit code. R'G'B' outputs do
 * not need it: they are clipped by their own codes.
 */
function scaleAndClip(source: PictureFormat, output: PictureFormat): string[] {
  const { width, height } = output;
  const scaled = width !== source.width || height !== source.height;
  const size = scaled ? [`w=${width}:h=${height}`] : [];
  return [
    zscale([...size, 'min=gbr', 'm=gbr', NO_COLOUR_CHANGE, 'dither=none', RESAMPLING]),
    'format=gbrp16le',
  ];
}

/**
 * Clips what chroma resampling and dithering put outside the nominal codes of the range. Full range needs no
 * clipping.
 */
function clipCodes({ range }: Colour, { model, depth }: PixelLayout): string[] {
  if (range === 'full') return [];
  const luma = lumaLevels(depth, range);
  if (model === 'rgb') return [`limiter=min=${luma.black}:max=${luma.white}`];
  const chroma = chromaLevels(depth, range);
  return [
    `limiter=min=${luma.black}:max=${luma.white}:planes=1`,
    `limiter=min=${chroma.min}:max=${chroma.max}:planes=6`,
  ];
}

const CLIPPED_RGB: PixelLayout = { model: 'rgb', shiftX: 0, shiftY: 0, depth: 16 };
const FLOAT_RGB: PixelLayout = { model: 'rgb', shiftX: 0, shiftY: 0, depth: 32 };
/** One thread: see above. Bicubic for chroma and raster. */
const RESAMPLING = 'filter=bicubic:threads=1';
/** Set so that zscale converts neither: curves and primaries are converted by the tables. */
const NO_COLOUR_CHANGE = 'pin=709:p=709:tin=709:t=709';

/**
 * To floats: as `fraction` of full-scale code, the domain of the tables, so that codes beyond black and white
 * are kept; or as `nominal` signal. zscale gives the nominal signal of Y'CbCr, and the fraction of RGB,
 * which has no range in ffmpeg.
 */
function toFloatRgb(
  from: Colour,
  layout: PixelLayout,
  source: PictureFormat,
  expected: 'fraction' | 'nominal',
): string[] {
  const given = layout.model === 'yuv' ? 'nominal' : 'fraction';
  const change = expected === 'fraction' ? NOMINAL_TO_FRACTION : FRACTION_TO_NOMINAL;
  return [
    zscale([...codedIn({ colour: from, layout, picture: source }), NO_COLOUR_CHANGE, RESAMPLING]),
    'format=gbrpf32le',
    ...(from.range === 'full' || given === expected ? [] : [change]),
  ];
}

function hasNarrowRgb({ range }: Colour, { model }: PixelLayout): boolean {
  return model === 'rgb' && range === 'narrow';
}

/** Between nominal signal and full-scale code of the narrow range: `(64 + 876 v) / 1023`. */
const NOMINAL_TO_FRACTION = affine(nominalOfCodeFraction(0, 'narrow'), nominalOfCodeFraction(1, 'narrow'));
const FRACTION_TO_NOMINAL = affine(codeFractionOfNominal(0, 'narrow'), codeFractionOfNominal(1, 'narrow'));

/**
 * `(v - from0) / (from1 - from0)`. The exposure filter is the one affine map that takes floats: `(v - black)
 * / (2^-exposure - black)`.
 */
function affine(from0: number, from1: number): string {
  return `exposure=exposure=${(-Math.log2(from1)).toFixed(12)}:black=${from0.toFixed(12)}`;
}

function stepFilter(step: BakedFiles['steps'][number]): string {
  switch (step.kind) {
    case 'lut1d':
      return `lut1d=file=${escapeFilterValue(step.path)}:interp=linear`;
    case 'lut3d':
      return `lut3d=file=${escapeFilterValue(step.path)}:interp=tetrahedral`;
    case 'shape':
      return zscale(['tin=linear:t=smpte2084', 'pin=709:p=709', 'npl=10000']);
  }
}

/** A picture, its layout and its colour. */
interface Coded {
  readonly colour: Colour;
  readonly layout: PixelLayout;
  readonly picture: PictureFormat;
}

interface Ending extends Coded {
  readonly format: string;
  readonly dither: 'none' | 'error_diffusion';
}

function encode(from: Coded, { colour, layout, picture, format, dither }: Ending): string[] {
  const { width, height } = picture;
  const scaled = width !== from.picture.width || height !== from.picture.height;
  return [
    zscale([
      ...(scaled ? [`w=${width}:h=${height}`] : []),
      ...codedIn(from),
      ...(layout.model === 'yuv'
        ? [`m=${ZSCALE_MATRIX[colour.matrix]}`, `r=${zscaleRange(colour)}`]
        : ['m=gbr']),
      `c=${siting(picture)}`,
      NO_COLOUR_CHANGE,
      `dither=${dither}`,
      RESAMPLING,
    ]),
    `format=${format}`,
  ];
}

function codedIn({ colour, layout, picture }: Coded): string[] {
  return layout.model === 'yuv'
    ? [`min=${ZSCALE_MATRIX[colour.matrix]}`, `rin=${zscaleRange(colour)}`, `cin=${siting(picture)}`]
    : ['min=gbr'];
}

function siting({ chromaLocation }: PictureFormat): string {
  return chromaLocation !== null && ZSCALE_SITINGS.has(chromaLocation) ? chromaLocation : 'left';
}
const ZSCALE_SITINGS: ReadonlySet<string> = new Set([
  'left',
  'center',
  'topleft',
  'top',
  'bottomleft',
  'bottom',
]);

function zscaleRange({ range }: Colour): string {
  return range === 'narrow' ? 'limited' : 'full';
}

function zscale(options: readonly string[]): string {
  return `zscale=${options.join(':')}`;
}

/** Sets the tags of the result, since earlier filters changed those of the frames. */
function setparams(to: Colour, layout: PixelLayout): string {
  const tags = frameTags(to);
  const matrix = layout.model === 'rgb' ? 'gbr' : tags.matrix;
  return `setparams=range=${tags.range}:color_primaries=${tags.primaries}:color_trc=${tags.transfer}:colorspace=${matrix}`;
}

function scalesFields(source: PictureFormat, output: PictureFormat): GoodgateError {
  return new GoodgateError('bad-job', {
    what: `an interlaced picture of ${source.height} lines cannot be scaled to ${output.height}: its lines belong to two fields`,
    next: 'deinterlace it first, or keep its height',
  });
}
