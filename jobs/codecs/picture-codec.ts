import type { ContainerName } from '../containers/containers.js';
import type { PictureTag } from '../containers/picture-tag.js';
import type { ChromaName, HdrStaticMetadata, ScanName } from '../manifest/colour.js';

/** How one output's picture is to be coded: the part of a recipe that an encoder needs. */
export interface PictureOrder {
  readonly container: ContainerName;
  readonly video: {
    readonly profile: string | null;
    readonly bitDepth: number;
    readonly chroma: ChromaName;
    /** Whether the picture has alpha. */
    readonly alpha: boolean;
    /** Constant-quality figure; null: the codec's usual one. */
    readonly crf: number | null;
    readonly lossless: boolean;
    /** Bits a second; null: no ceiling. */
    readonly maxBitRate: number | null;
  };
  readonly raster: { readonly width: number; readonly height: number };
  readonly scan: ScanName;
  /** Frames a second, `num/den`. */
  readonly frameRate: string;
  /** Static metadata to write; null parts are not written. */
  readonly hdr: HdrStaticMetadata;
}

/**
 * What becomes of the samples: `exact` gives back every one; `detail` codes so lightly, each picture by
 * itself, that detail near the top of the band survives; `seen` keeps what the eye sees.
 */
export type Fidelity = 'exact' | 'detail' | 'seen';

/** One codec of the picture: all that schema, planner and worker know of it. Data and pure functions. */
export interface PictureCodec {
  /** What targets call it. */
  readonly name: string;
  /** What people call it. */
  readonly title: string;
  /** ffmpeg's name of the codec, as its decoder tells it. */
  readonly decodedAs: string;
  /** Other names a requirement may use. */
  readonly aliases: readonly string[];
  /** ffmpeg's encoder. Which pixel formats it takes in is asked of ffmpeg, not written here. */
  readonly encoder: string;
  /** Pixel formats the built-in targets hand it; the doctor looks for them. */
  readonly usualFormats: readonly string[];
  /** Containers it may go into, the usual one first. */
  readonly containers: readonly ContainerName[];
  readonly fidelity: Fidelity;
  /** Whether it also has a form that loses nothing (where its fidelity is not `exact` anyway). */
  readonly losslessForm: boolean;
  /** Whether each picture is decoded by itself, by construction of the codec. */
  readonly intra: boolean;
  /** Profile where the target names none; null: the encoder's own choice. */
  readonly defaultProfile: string | null;
  /** Constant-quality figure where the target names none; null: the codec is not steered by one. */
  readonly defaultCrf: number | null;
  /** What its bitstream says of the picture, as ffmpeg writes and reads it; the container may say more. */
  readonly says: readonly PictureTag[];
  /** Whether its Y'CbCr is of the narrow range by definition, whatever a container says. */
  readonly narrowOnly: boolean;
  /**
   * Fields it codes so that they are decoded and told right; a picture of others becomes progressive first.
   */
  readonly fields: readonly Exclude<ScanName, 'progressive'>[];
  /** Whether 4:2:2 and 4:2:0 may have an odd width or height; otherwise an edge is repeated. */
  readonly oddSizes: boolean;
  /** Widths its encoder takes are multiples of this. */
  readonly widthStep: number;
  /** Whether such files are played while they load: their index is put in front. */
  readonly streamed: boolean;
  /** Bits of a pixel, all planes together, about. */
  bitsPerPixel(video: PictureOrder['video']): number;
  /**
   * Megapixels a second one core encodes, decoding and measuring the result included; measured on small
   * clips.
   */
  readonly megapixelsPerCoreSecond: number;
  /** Whether alpha comes back, in a profile. */
  keepsAlpha(profile: string | null): boolean;
  /** Encoder and options, as ffmpeg takes them. */
  encoderArguments(order: PictureOrder): string[];
}

/** Samples of a pixel, all planes together. */
export const SAMPLES_PER_PIXEL: Readonly<Record<ChromaName, number>> = {
  '4:4:4': 3,
  '4:2:2': 2,
  '4:2:0': 1.5,
  '4:1:1': 1.5,
  '4:0:0': 1,
};

/** Camera noise keeps lossless coding near six tenths of the raw size (common practice, no source). */
export function losslessBitsPerPixel({ chroma, bitDepth }: PictureOrder['video']): number {
  return 0.6 * SAMPLES_PER_PIXEL[chroma] * bitDepth;
}
