import type { ChromaName } from '../jobs/manifest/colour.js';
import type { VideoFacts } from '../jobs/manifest/facts.js';
import type { MakeRecipe } from '../jobs/targets/target.js';

/** A make recipe in which depth, sampling and RGB are settled for one clip. */
export type SettledMake = Omit<MakeRecipe, 'video'> & {
  readonly video: Omit<MakeRecipe['video'], 'bitDepth' | 'chroma' | 'rgb'> & {
    readonly bitDepth: number;
    readonly chroma: ChromaName;
    readonly rgb: boolean;
  };
};

/** Puts the clip's own depth, sampling and colour model where the target says `source`. */
export function settleVideo(make: MakeRecipe, video: VideoFacts): SettledMake {
  const { bitDepth, chroma, rgb } = make.video;
  return {
    ...make,
    video: {
      ...make.video,
      bitDepth: bitDepth === 'source' ? video.bitDepth : bitDepth,
      // A layout without a name of its own has no subsampled planes.
      chroma: chroma === 'source' ? (video.chroma ?? '4:4:4') : chroma,
      rgb: rgb === 'source' ? /^(gbr|rgb|bgr|argb|abgr)/.test(video.pixelFormat) : rgb,
    },
  };
}
