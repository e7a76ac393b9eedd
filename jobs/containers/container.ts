/** One container files are made in. Data. */
export interface Container {
  /** What targets call it, and the ending of its files. */
  readonly name: string;
  /** ffmpeg's muxer. */
  readonly muxer: string;
  /** Flags of the muxer that each file is written with. */
  readonly flags: readonly string[];
  /** Flags that put the index in front, for files that are played while they load. */
  readonly indexFirst: readonly string[];
}
