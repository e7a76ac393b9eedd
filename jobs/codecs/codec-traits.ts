import type { Fidelity } from './picture-codec.js';
import { PICTURE_CODECS } from './picture-codecs.js';
import { SOUND_CODECS } from './sound-codecs.js';

interface PictureTraits {
  readonly fidelity: Fidelity;
  readonly intra: boolean;
}

const EXACT: PictureTraits = { fidelity: 'exact', intra: true };
/** Lossless, but not known to code every frame by itself. */
const EXACT_IN_GROUPS: PictureTraits = { fidelity: 'exact', intra: false };
const INTERMEDIATE: PictureTraits = { fidelity: 'detail', intra: true };
const LOSSY: PictureTraits = { fidelity: 'seen', intra: true };

/**
 * Picture codecs that are only read, by ffmpeg's names. Other codecs may code every frame by itself too, but
 * the declaration of a container is no proof: a frame that depends on the previous one would be measured
 * wrong at the start of a part. Motion JPEG may omit tables that an earlier frame had; the frames that two
 * parts share detect that.
 */
const PICTURES_READ: Readonly<Record<string, PictureTraits>> = {
  rawvideo: EXACT,
  v210: EXACT,
  v308: EXACT,
  v408: EXACT,
  v410: EXACT,
  r210: EXACT,
  r10k: EXACT,
  utvideo: EXACT,
  png: EXACT,
  ffvhuff: EXACT_IN_GROUPS,
  huffyuv: EXACT_IN_GROUPS,
  magicyuv: EXACT_IN_GROUPS,
  tiff: EXACT_IN_GROUPS,
  dpx: EXACT_IN_GROUPS,
  qtrle: EXACT_IN_GROUPS,
  dnxhd: INTERMEDIATE,
  jpeg2000: INTERMEDIATE,
  mjpeg: LOSSY,
  dvvideo: LOSSY,
  targa: LOSSY,
};

const PICTURES: ReadonlyMap<string, PictureTraits> = new Map<string, PictureTraits>([
  ...Object.entries(PICTURES_READ),
  ...PICTURE_CODECS.map((codec) => [codec.decodedAs, codec] as const),
]);

/**
 * Whether a codec returns every sample unchanged: only then do the low bits show the depth of the source.
 */
export function isExactPicture(decodedAs: string): boolean {
  return PICTURES.get(decodedAs)?.fidelity === 'exact';
}

/** Whether a picture in this codec can prove that its detail is real and not interpolated. */
export function keepsDetail(decodedAs: string): boolean {
  const fidelity = PICTURES.get(decodedAs)?.fidelity;
  return fidelity === 'exact' || fidelity === 'detail';
}

/**
 * Whether a file in this codec says how many bits its samples have. A frame of ProRes does not (RDD 36): how
 * many it is decoded with, 10 or 12, goes by the profile, whatever was put in.
 */
export function statesDepth(decodedAs: string): boolean {
  return decodedAs !== 'prores';
}

/** Codecs that split the picture repeatedly into bands of half the size. */
const WAVELET: ReadonlySet<string> = new Set(['cfhd', 'jpeg2000', 'dirac', 'snow']);

/**
 * Whether coding alone can look like upscaling: a wavelet whose upper bands are quantised to zero decodes to
 * a picture of half the size, scaled up.
 */
export function mayScaleUp(decodedAs: string): boolean {
  return WAVELET.has(decodedAs);
}

/** Whether the codec decodes every frame by itself. */
export function isIntra(decodedAs: string): boolean {
  return PICTURES.get(decodedAs)?.intra === true;
}

/**
 * Whether a coder may keep parts of the frames before in place of what changed little. A wavelet codec
 * that codes two pictures together keeps none.
 */
export function mayKeepParts(decodedAs: string): boolean {
  return !isIntra(decodedAs) && !WAVELET.has(decodedAs) && PICTURES.get(decodedAs)?.fidelity !== 'exact';
}

/** Whether the name of a codec in a requirement means the codec ffmpeg decoded. */
export function isNamed(decodedAs: string, expected: string): boolean {
  const codec = PICTURE_CODECS.find(({ name, aliases }) =>
    [name, ...aliases].some((each: string) => each === expected),
  );
  return (codec?.decodedAs ?? expected) === decodedAs;
}

/** Sound codecs that are only read. */
const SOUND_READ = {
  exact: [
    ...['pcm_u8', 'pcm_s8', 'pcm_s8_planar', 'pcm_bluray', 'pcm_dvd', 's302m'],
    ...['pcm_s16be', 'pcm_s16le_planar', 'pcm_s16be_planar', 'pcm_u16le', 'pcm_u16be'],
    ...['pcm_s24be', 'pcm_s24le_planar', 'pcm_u24le', 'pcm_u24be', 'pcm_s24daud'],
    ...['pcm_s32le', 'pcm_s32be', 'pcm_s32le_planar', 'pcm_u32le', 'pcm_u32be'],
    ...['alac', 'tta', 'mlp', 'truehd'],
  ],
  lossy: ['ac3', 'eac3', 'mp2', 'mp3', 'opus', 'vorbis'],
} as const;

const soundMade = (exact: boolean): string[] =>
  SOUND_CODECS.filter((codec) => codec.exact === exact).map(({ name }) => name);
const EXACT_SOUND: ReadonlySet<string> = new Set([...SOUND_READ.exact, ...soundMade(true)]);
const LOSSY_SOUND: ReadonlySet<string> = new Set([...SOUND_READ.lossy, ...soundMade(false)]);

/** Whether a sound codec returns every sample unchanged. */
export function isExactSound(codec: string): boolean {
  return EXACT_SOUND.has(codec);
}

/** Whether it is known to be lossy: such sound has no bit depth of its own. */
export function isLossySound(codec: string): boolean {
  return LOSSY_SOUND.has(codec);
}
