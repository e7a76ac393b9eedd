import type { ScanName } from '../../jobs/manifest/colour.js';

/** A picture at the input or output of a filter chain. */
export interface PictureFormat {
  /** ffmpeg pixel format. */
  readonly pixelFormat: string;
  readonly width: number;
  readonly height: number;
  readonly scan: ScanName;
  /**
   * ffmpeg's name of the chroma siting (`left`, `topleft`, ...); null: not declared, which means `left` in
   * H.273.
   */
  readonly chromaLocation: string | null;
}
