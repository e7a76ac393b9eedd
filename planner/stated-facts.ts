import type { ScanName } from '../jobs/manifest/colour.js';
import type { ClipFacts, VideoFacts } from '../jobs/manifest/facts.js';
import type { ManifestClip } from '../jobs/manifest/manifest.js';
import { formatRational, framesToSeconds, parseRational, rational } from '../signal/rational.js';
import { nominalRate, parseTimecode } from '../signal/timecode.js';

type Stated = Pick<ManifestClip, 'sampleAspect' | 'frameRate'>;

/** Facts of a clip with a picture, as the manifest corrects them. */
export type PictureFacts = ClipFacts & { readonly video: VideoFacts };

/** Facts with what the manifest states of sample aspect and, of a picture sequence, rate. Pure. */
export function withStated(
  facts: ClipFacts,
  video: VideoFacts,
  { sampleAspect, frameRate }: Stated,
): PictureFacts {
  const shaped = { ...facts, video: withAspect(video, sampleAspect) };
  return facts.sequence === undefined ? shaped : withRate(shaped, frameRate);
}

/** The sample aspect, and the shape of the picture that follows from it. */
function withAspect(video: VideoFacts, stated: string | undefined): VideoFacts {
  const aspect = stated === undefined ? null : parseRational(stated);
  if (aspect === null) return video;
  return {
    ...video,
    sampleAspect: formatRational(aspect),
    displayAspect: formatRational(rational(video.width * aspect.num, video.height * aspect.den)),
  };
}

/** The rate of a sequence, and the length that follows from it. */
function withRate(facts: PictureFacts, stated: string | undefined): PictureFacts {
  const rate = stated === undefined ? null : parseRational(stated);
  if (rate === null) return facts;
  const seconds = framesToSeconds(facts.video.frames ?? 0, rate);
  return {
    ...facts,
    container: { ...facts.container, durationSeconds: seconds },
    video: {
      ...facts.video,
      frameRate: formatRational(rate),
      constantRate: true,
      durationSeconds: seconds,
    },
  };
}

/** Why a timecode that the manifest states is none at the rate of the clip; null where it is one. */
export function timecodeFaultOf(stated: string, frameRate: string | null): string | null {
  const rate = frameRate === null ? null : parseRational(frameRate);
  // A rate without timecode is another matter, which its outputs tell.
  if (rate === null || nominalRate(rate) === null) return null;
  return parseTimecode(stated, rate).reason;
}

/** The original is measured and judged with the scan that the manifest gives, as it is decoded with it. */
export function withStatedScan<Wish extends { readonly facts: ClipFacts; readonly video: VideoFacts }>(
  wish: Wish,
  scan: ScanName | undefined,
): Wish {
  if (scan === undefined) return wish;
  return { ...wish, facts: { ...wish.facts, video: { ...wish.video, scan } } };
}
