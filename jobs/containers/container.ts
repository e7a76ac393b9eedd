import type { SubtitleCodec } from '../plan/carry.js';
import type { PictureTag } from './picture-tag.js';

/** One container files are made in. Data. */
export interface Container {
  /** What targets call it, and the ending of its files. */
  readonly name: string;
  /** ffmpeg's muxer. */
  readonly muxer: string;
  /** What it says of the picture itself, as ffmpeg writes and reads it; the bitstream may say more. */
  readonly says: readonly PictureTag[];
  /**
   * Whether it keeps the shown size in whole pixels instead of the sample aspect: one that does not divide
   * comes back a little off.
   */
  readonly wholeShownWidth: boolean;
  /**
   * What else it keeps of a clip, as ffmpeg writes and reads it; held by the test of extras, which reads
   * files back.
   */
  readonly keeps: {
    readonly chapters: boolean;
    readonly tags: boolean;
    /** Codecs of subtitles, by ffmpeg's names, and how each is written. */
    readonly subtitles: Readonly<Record<string, SubtitleCodec>>;
  };
  /** Flags of the muxer that each file is written with. */
  readonly flags: readonly string[];
  /** Flags that put the index in front, for files that are played while they load. */
  readonly indexFirst: readonly string[];
}
