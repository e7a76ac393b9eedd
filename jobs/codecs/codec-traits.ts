import type { Fidelity } from './picture-codec.js';
import { PICTURE_CODECS } from './picture-codecs.js';
import { SOUND_CODECS } from './sound-codecs.js';

interface PictureTraits {
  readonly fidelity: Fidelity;
  readonly intra: boolean;
}

const EXACT: PictureTraits = { fidelity: 'exact', intra: true };
/** Without loss, but not known here to code every picture by itself. */
const EXACT_IN_GROUPS: PictureTraits = { fidelity: 'exact', intra: false };
const INTERMEDIATE: PictureTraits = { fidelity: 'detail', intra: true };
const LOSSY: PictureTraits = { fidelity: 'seen', intra: true };

/**
 * Codecs of pictures that come in and are not made here, by ffmpeg's names. Others may be coded picture by
 * picture too, but what a container says of it is no proof: a picture that quietly builds on the one before
 * would be measured wrong in parts. Motion JPEG may leave out tables that stood in an earlier picture, which
 * the frames that two parts share bring to light.
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
 * Whether a codec gives back the very samples it was given: only then do low bits tell where a picture comes
 * from.
 */
export function isExactPicture(decodedAs: string): boolean {
  return PICTURES.get(decodedAs)?.fidelity === 'exact';
}

/** Whether a picture so coded can prove that its samples carry detail of their own. */
export function keepsDetail(decodedAs: string): boolean {
  const fidelity = PICTURES.get(decodedAs)?.fidelity;
  return fidelity === 'exact' || fidelity === 'detail';
}

/** Codecs that split the picture into bands of half the size, again and again. */
const WAVELET: ReadonlySet<string> = new Set(['cfhd', 'jpeg2000', 'dirac', 'snow']);

/**
 * Whether coding by itself may leave what scaling up leaves: a wavelet whose upper bands are quantised away
 * gives back a picture of half the size, scaled up.
 */
export function mayScaleUp(decodedAs: string): boolean {
  return WAVELET.has(decodedAs);
}

/** Whether every picture is decoded by itself, by construction of the codec. */
export function isIntra(decodedAs: string): boolean {
  return PICTURES.get(decodedAs)?.intra === true;
}

/** Whether a requirement's name of a codec is that of the codec ffmpeg decoded. */
export function isNamed(decodedAs: string, wanted: string): boolean {
  const codec = PICTURE_CODECS.find(({ name, aliases }) =>
    [name, ...aliases].some((each: string) => each === wanted),
  );
  return (codec?.decodedAs ?? wanted) === decodedAs;
}

/** Codecs of sound that come in and are not made here. */
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

/** Whether a codec of sound gives back the very words that were stored. */
export function isExactSound(codec: string): boolean {
  return EXACT_SOUND.has(codec);
}

/** Whether it is known to code with loss: such sound has no sample depth of its own. */
export function isLossySound(codec: string): boolean {
  return LOSSY_SOUND.has(codec);
}
