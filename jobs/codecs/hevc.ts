import { lightLevel, masterDisplay } from './hdr-parameters.js';
import { losslessBitsPerPixel, type PictureCodec } from './picture-codec.js';
import { keyframeInterval, qualityBitsPerPixel, rateControl } from './rate-control.js';

const USUAL_CRF = 20;

/**
 * HEVC by libx265. `hvc1` in MP4 and MOV: parameter sets in the sample entry, which more players support than
 * `hev1`. x265 codes fields only as separate pictures; in frames it does not declare them.
 */
export const hevc = {
  name: 'hevc',
  title: 'HEVC',
  decodedAs: 'hevc',
  aliases: ['h265'],
  encoder: 'libx265',
  usualFormats: ['yuv420p10le', 'yuv422p10le', 'yuv444p12le'],
  containers: ['mp4', 'mov', 'mkv'],
  fidelity: 'seen',
  losslessForm: true,
  intra: false,
  defaultProfile: null,
  defaultCrf: USUAL_CRF,
  carriedTags: ['primaries', 'transfer', 'matrix', 'range', 'sample-aspect', 'chroma-siting', 'static-hdr'],
  narrowOnly: false,
  fields: [],
  oddSizes: false,
  widthStep: 1,
  lineStep: 1,
  streamed: true,
  bitsPerPixel: ({ video }) =>
    video.lossless ? losslessBitsPerPixel({ video }) : qualityBitsPerPixel(0.07, video),
  quantiser: null,
  megapixelsPerCoreSecond: 2,
  keepsAlpha: () => false,
  encoderArguments: (order) => {
    const { video, hdr, container } = order;
    const display = masterDisplay(hdr);
    const light = lightLevel(hdr);
    const params = [
      'log-level=warning',
      ...(video.lossless ? ['lossless=1'] : []),
      ...(display === null ? [] : [`master-display=${display}`]),
      ...(light === null ? [] : [`max-cll=${light}`]),
    ];
    return [
      ...['-c:v', 'libx265', '-preset', 'medium'],
      ...(video.profile === null ? [] : ['-profile:v', video.profile]),
      ...(video.lossless ? [] : rateControl(video, USUAL_CRF)),
      ...['-g', String(keyframeInterval(order))],
      ...['-x265-params', params.join(':')],
      ...(container === 'mkv' ? [] : ['-tag:v', 'hvc1']),
    ];
  },
} as const satisfies PictureCodec;
