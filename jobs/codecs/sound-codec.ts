/** One sound codec: everything schema, planner and worker know about it. */
export interface SoundCodec {
  /** Name in targets: ffmpeg's name of both encoder and decoder. */
  readonly name: string;
  readonly title: string;
  /** Approximate bits per sample of one channel; a bit rate in the recipe replaces it. */
  readonly bitsPerSample: number;
  /** Whether it returns every sample unchanged. */
  readonly exact: boolean;
  /** What it loses, in a sentence; null: nothing. */
  readonly loss: string | null;
}
