import type { Colour } from '../../../../jobs/manifest/colour.js';
import type { VideoFacts } from '../../../../jobs/manifest/facts.js';
import { type CodeScale, codeScale, type ShortFactors } from './code-scale.js';
import { type LightPlan, lightPlan } from './light.js';
import { type PictureMeaning, pictureMeaning } from './meaning.js';
import {
  isKnown,
  type PlaneGeometry,
  planeGeometry,
  type SampleLayout,
  sampleLayout,
  type UnknownLayout,
} from './sample-layout.js';
import { r103Steps, type SignalLimits } from './signal-limits.js';

/** Everything a kernel needs to know about the frames it measures. */
export interface PicturePlan {
  readonly layout: SampleLayout;
  readonly geometry: PlaneGeometry;
  readonly meaning: PictureMeaning;
  readonly scale: CodeScale;
  /** R 103 limits in steps; null where R'G'B' cannot be made. */
  readonly limits: SignalLimits | null;
  readonly light: LightPlan | null;
  /**
   * Lines of a frame are those of two fields: the R 103 filter stays within a field, and 4:2:0 chroma belongs
   * to one.
   */
  readonly interlaced: boolean;
}

/**
 * How the frames of a stream are measured, or why they cannot be. Width and height are those of the
 * decoded frames.
 */
export function picturePlan(
  video: VideoFacts,
  colour: Colour | null,
  raster: { readonly width: number; readonly height: number } = video,
): PicturePlan | UnknownLayout {
  const layout = sampleLayout(video.pixelFormat);
  if (!isKnown(layout)) return layout;
  const meaning = pictureMeaning(video, layout, colour);
  // Without a matrix only the planes are counted: with a scale that needs no matrix.
  const scale = codeScale(layout.depth, meaning.range, meaning.matrix ?? 'gbr');
  return {
    layout,
    geometry: planeGeometry(layout, raster.width, raster.height),
    meaning,
    scale,
    limits: meaning.matrix === null ? null : r103Steps(layout.depth, meaning.range),
    light: lightPlan(meaning, scale),
    interlaced: video.scan !== null && video.scan !== 'progressive',
  };
}

/** Not null where pixels share their chroma in pairs and are summed in short steps first. */
export function shortFactors({ layout, scale }: Pick<PicturePlan, 'layout' | 'scale'>): ShortFactors | null {
  return layout.model === 'ycbcr' && layout.chromaShiftX === 1 ? (scale.chroma?.short ?? null) : null;
}
