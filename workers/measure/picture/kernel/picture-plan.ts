import type { Colour } from '../../../../jobs/manifest/colour.js';
import type { VideoFacts } from '../../../../jobs/manifest/facts.js';
import { codeScale } from '../code-scale.js';
import { lightPlan } from '../light.js';
import { pictureMeaning } from '../meaning.js';
import { isKnown, planeGeometry, sampleLayout, type UnknownLayout } from '../sample-layout.js';
import { r103Steps } from '../signal-limits.js';
import type { PicturePlan } from './picture-kernel.js';

/** How the pictures of a stream are to be measured, or why they cannot be. Width and height are those of the decoded frames. */
export function picturePlan(
  video: VideoFacts,
  colour: Colour | null,
  raster: { readonly width: number; readonly height: number } = video,
): PicturePlan | UnknownLayout {
  const layout = sampleLayout(video.pixelFormat);
  if (!isKnown(layout)) return layout;
  const meaning = pictureMeaning(video, layout, colour);
  // Without a matrix only the planes themselves are counted: a scale that needs none serves.
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
