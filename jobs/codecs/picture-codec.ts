import type { ContainerName } from '../containers/containers.js';
import type { PictureTag } from '../containers/picture-tag.js';
import type { ChromaName, HdrStaticMetadata, ScanName } from '../manifest/colour.js';

/** How the picture of one output is coded: the part of a recipe that an encoder needs. */
export interface PictureOrder {
  readonly container: ContainerName;
  readonly video: {
    readonly profile: string | null;
    readonly bitDepth: number;
    readonly chroma: ChromaName;
    /** Whether the picture has alpha. */
    readonly alpha: boolean;
    /** Constant-quality figure (CRF); null: the default of the codec. */
    readonly crf: number | null;
    readonly lossless: boolean;
    /** Bits a second; null: no limit. */
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
 * How well samples survive: `exact` returns every one; `detail` codes each frame by itself, so lightly that
 * the finest detail survives; `seen` keeps what the eye sees.
 */
export type Fidelity = 'exact' | 'detail' | 'seen';

/** The quantisers that one may choose from, as the encoder numbers them: the lower, the finer. */
export interface QuantiserRange {
  readonly finest: number;
  readonly coarsest: number;
  /**
   * Those that frames of the clip are coded with, to learn how the size follows: at least three, from fine to
   * coarse.
   */
  readonly tried: readonly number[];
}

/** One picture codec: everything schema, planner and worker know about it. Data and pure functions. */
export interface PictureCodec {
  /** Name in targets. */
  readonly name: string;
  /** Name for people. */
  readonly title: string;
  /** ffmpeg's name of the codec, as the decoder reports it. */
  readonly decodedAs: string;
  /** Other names a requirement may use. */
  readonly aliases: readonly string[];
  /** ffmpeg's encoder. Its pixel formats are queried from ffmpeg, not listed here. */
  readonly encoder: string;
  /** Pixel formats the built-in targets use; the doctor checks for them. */
  readonly usualFormats: readonly string[];
  /** Containers it may be stored in, the usual one first. */
  readonly containers: readonly ContainerName[];
  readonly fidelity: Fidelity;
  /** Whether it has a lossless mode; true too where its fidelity is `exact`. */
  readonly losslessForm: boolean;
  /** Whether the codec decodes each frame by itself. */
  readonly intra: boolean;
  /** Profile where the target sets none; null: the encoder chooses. */
  readonly defaultProfile: string | null;
  /** Constant-quality figure (CRF) where the target sets none; null: the codec has none. */
  readonly defaultCrf: number | null;
  /** Tags its bitstream carries, as ffmpeg writes and reads them; the container may carry more. */
  readonly carriedTags: readonly PictureTag[];
  /** Whether its Y'CbCr is narrow range by definition, whatever a container declares. */
  readonly narrowOnly: boolean;
  /**
   * Field orders that it codes and declares correctly; pictures with another order are deinterlaced first.
   */
  readonly fields: readonly Exclude<ScanName, 'progressive'>[];
  /** Whether 4:2:2 and 4:2:0 may have an odd width or height; otherwise an edge is repeated. */
  readonly oddSizes: boolean;
  /** The encoder needs a width that is a multiple of this. */
  readonly widthStep: number;
  /**
   * The encoder reads lines in groups of so many, beyond the last line of a picture where that is within one:
   * they have to be there, or it codes what lies in memory.
   */
  readonly lineStep: number;
  /** Whether such files are played while they load: their index is then written first. */
  readonly streamed: boolean;
  /** Bits per pixel, all planes together: approximate, or as published where `quantiser` is not null. */
  bitsPerPixel(order: Pick<PictureOrder, 'video' | 'raster'>): number;
  /**
   * How its rate is met by one quantiser for the whole clip, chosen on frames of that clip; null: the encoder
   * keeps its own rate.
   */
  readonly quantiser: QuantiserRange | null;
  /**
   * Megapixels a second that one core encodes, including decoding and measuring the result; measured on small
   * clips.
   */
  readonly megapixelsPerCoreSecond: number;
  /** Whether a profile keeps alpha. */
  keepsAlpha(profile: string | null): boolean;
  /**
   * Encoder and options, as ffmpeg arguments. `quantiser`: what was chosen for this clip; null leaves the
   * rate to the encoder.
   */
  encoderArguments(order: PictureOrder, quantiser: number | null): string[];
}

/** Samples per pixel, all planes together. */
export const SAMPLES_PER_PIXEL: Readonly<Record<ChromaName, number>> = {
  '4:4:4': 3,
  '4:2:2': 2,
  '4:2:0': 1.5,
  '4:1:1': 1.5,
  '4:0:0': 1,
};

/** Camera noise keeps lossless coding near six tenths of the raw size (common practice, no source). */
export function losslessBitsPerPixel({ video }: Pick<PictureOrder, 'video'>): number {
  return 0.6 * SAMPLES_PER_PIXEL[video.chroma] * video.bitDepth;
}
