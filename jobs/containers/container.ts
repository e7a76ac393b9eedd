import type { SubtitleCodec } from '../plan/carry.js';
import type { PictureTag } from './picture-tag.js';

/** One container files are made in. Data. */
export interface Container {
  /** Name in targets, and extension of its files. */
  readonly name: string;
  /** ffmpeg's muxer. */
  readonly muxer: string;
  /** Tags of the picture it carries, as ffmpeg writes and reads them; the bitstream may carry more. */
  readonly carriedTags: readonly PictureTag[];
  /**
   * Whether it stores the displayed size in whole pixels instead of the sample aspect, which is then rounded.
   */
  readonly wholeShownWidth: boolean;
  /**
   * What else of a clip it keeps, as ffmpeg writes and reads it; a test checks this by reading files back.
   */
  readonly keeps: {
    readonly chapters: boolean;
    readonly tags: boolean;
    /** Subtitle codecs, by ffmpeg's names, and how each is written. */
    readonly subtitles: Readonly<Record<string, SubtitleCodec>>;
  };
  /** A folder of numbered pictures instead of a file. */
  readonly isSequence: boolean;
  /** Whether it states a start timecode and a rate, as ffmpeg writes and reads them. */
  readonly keepsTimecode: boolean;
  readonly keepsRate: boolean;
  /** Muxer flags for every file. */
  readonly flags: readonly string[];
  /** Muxer flags that write the index first, for files that are played while they load. */
  readonly indexFirst: readonly string[];
}

/** What a folder of numbered pictures is, whatever their format. */
export const PICTURES = {
  muxer: 'image2',
  carriedTags: [],
  wholeShownWidth: false,
  isSequence: true,
  keepsTimecode: false,
  keeps: { chapters: false, tags: false, subtitles: {} },
  flags: [],
  indexFirst: [],
} as const satisfies Partial<Container>;
