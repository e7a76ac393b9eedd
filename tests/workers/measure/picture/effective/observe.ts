import type { VideoFacts } from '../../../../../jobs/manifest/facts.js';
import { spectrumStudy } from '../../../../../workers/measure/picture/effective/spectrum-study.js';
import { type PicturePlan, picturePlan } from '../../../../../workers/measure/picture/plan/picture-plan.js';
import { planeGeometry } from '../../../../../workers/measure/picture/plan/sample-layout.js';

/** The plan of a BT.709 picture in one of ffmpeg's pixel formats. */
export function planOf(
  pixelFormat: string,
  width: number,
  height: number,
  scan: VideoFacts['scan'] = 'progressive',
): PicturePlan {
  const colour = { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'narrow' } as const;
  const video: VideoFacts = {
    stream: 0,
    codec: 'ffv1',
    profile: null,
    width,
    height,
    sampleAspect: '1/1',
    displayAspect: null,
    frameRate: '25/1',
    constantRate: true,
    scan,
    durationSeconds: 1,
    frames: 25,
    framesFrom: 'container',
    pixelFormat,
    bitDepth: 10,
    chroma: null,
    rotation: 0,
    mirrored: false,
    colour,
    colourByLayer: { container: null, bitstream: null },
    hdr: { mastering: null, lightLevel: null },
    chromaLocation: null,
    dynamicHdr: [],
    iccProfile: false,
    captions: false,
  };
  const plan = picturePlan(video, null, { width, height });
  if ('unknown' in plan) throw new Error(plan.unknown);
  return plan;
}

/** Sums of the study over frames, each a list of planes of codes. */
export function spectraOf(plan: PicturePlan, frames: readonly (readonly Uint16Array[])[]): Float64Array {
  const study = spectrumStudy(plan);
  const { width, height, chromaWidth, chromaHeight } = planeGeometry(
    plan.layout,
    plan.geometry.width,
    plan.geometry.height,
  );
  frames.forEach((planes, frame) => {
    study.observe({
      frame: frame * study.every,
      plan,
      planes: planes.map((codes, i) =>
        i === 0 ? { codes, width, height } : { codes, width: chromaWidth, height: chromaHeight },
      ),
    });
  });
  return study.sums();
}
