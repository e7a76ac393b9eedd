import type { ScanName } from '../../jobs/manifest/colour.js';

/** A picture as it enters or leaves a chain of filters. */
export interface PictureFormat {
  /** ffmpeg pixel format. */
  readonly pixelFormat: string;
  readonly width: number;
  readonly height: number;
  readonly scan: ScanName;
  /**
   * ffmpeg's name of where chroma sits (`left`, `topleft`, ...); null: what H.273 takes for unsaid, `left`.
   */
  readonly chromaLocation: string | null;
}
