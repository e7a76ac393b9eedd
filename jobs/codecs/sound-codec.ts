/** One codec of the sound: all that schema, planner and worker know of it. */
export interface SoundCodec {
  /** What targets call it: ffmpeg's name of encoder and decoder alike. */
  readonly name: string;
  readonly title: string;
  /** Bits of a sample of one channel, about; a bit rate named in the recipe counts instead. */
  readonly bitsPerSample: number;
  /** Whether it gives back the very words that were stored. */
  readonly exact: boolean;
  /** What it loses, in a sentence; null: nothing. */
  readonly loss: string | null;
}
