import { lightLevel, masterDisplay } from './hdr-parameters.js';
import { losslessBitsPerPixel, type PictureCodec } from './picture-codec.js';
import { keyframeInterval, qualityBitsPerPixel, rateControl } from './rate-control.js';

const USUAL_CRF = 18;

/** H.264 by libx264. Static HDR metadata goes into SEI, which x264 writes since version 163. */
export const h264 = {
  name: 'h264',
  title: 'H.264',
  decodedAs: 'h264',
  aliases: ['avc'],
  encoder: 'libx264',
  usualFormats: ['yuv420p', 'yuv422p10le'],
  containers: ['mp4', 'mov', 'mkv'],
  fidelity: 'seen',
  losslessForm: true,
  intra: false,
  defaultProfile: null,
  defaultCrf: USUAL_CRF,
  carriedTags: [
    'primaries',
    'transfer',
    'matrix',
    'range',
    'sample-aspect',
    'field-order',
    'chroma-siting',
    'static-hdr',
    'captions',
  ],
  narrowOnly: false,
  // Not bottom field first: with ffmpeg 5.1 4:2:2 decodes differently from what was coded, and MP4 declares
  // the other order.
  fields: ['interlaced-tff'],
  oddSizes: false,
  widthStep: 1,
  lineStep: 1,
  streamed: true,
  bitsPerPixel: ({ video }) =>
    video.lossless ? losslessBitsPerPixel({ video }) : qualityBitsPerPixel(0.11, video),
  quantiser: null,
  megapixelsPerCoreSecond: 10,
  keepsAlpha: () => false,
  encoderArguments: (order) => {
    const { video, hdr } = order;
    const display = masterDisplay(hdr);
    const light = lightLevel(hdr);
    const params = [
      ...(display === null ? [] : [`mastering-display=${display}`]),
      ...(light === null ? [] : [`cll=${light}`]),
    ];
    return [
      ...['-c:v', 'libx264', '-preset', 'medium'],
      ...(video.profile === null ? [] : ['-profile:v', video.profile]),
      // x264: a constant quantiser of 0 is lossless, at every depth.
      ...(video.lossless ? ['-qp', '0'] : rateControl(video, USUAL_CRF)),
      ...['-g', String(keyframeInterval(order))],
      ...(order.scan === 'progressive' ? [] : ['-flags', '+ilme+ildct']),
      ...(params.length === 0 ? [] : ['-x264-params', params.join(':')]),
    ];
  },
} as const satisfies PictureCodec;
