import type { ChromaName } from '../jobs/manifest/colour.js';
import type { VideoFacts } from '../jobs/manifest/facts.js';
import type { MakeRecipe } from '../jobs/targets/target.js';

/** `make` of a target with depth, chroma and RGB decided for one clip. */
export type SettledMake = Omit<MakeRecipe, 'video'> & {
  readonly video: Omit<MakeRecipe['video'], 'bitDepth' | 'chroma' | 'rgb'> & {
    readonly bitDepth: number;
    readonly chroma: ChromaName;
    readonly rgb: boolean;
  };
};

/** Replaces `source` by the depth, chroma and colour model of the clip. */
export function settleVideo(make: MakeRecipe, video: VideoFacts): SettledMake {
  const { bitDepth, chroma, rgb } = make.video;
  return {
    ...make,
    video: {
      ...make.video,
      bitDepth: bitDepth === 'source' ? video.bitDepth : bitDepth,
      // A format without a chroma name has no subsampled planes.
      chroma: chroma === 'source' ? (video.chroma ?? '4:4:4') : chroma,
      rgb: rgb === 'source' ? /^(gbr|rgb|bgr|argb|abgr)/.test(video.pixelFormat) : rgb,
    },
  };
}
