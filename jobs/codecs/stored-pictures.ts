import type { PictureCodec } from './picture-codec.js';

/** What codecs have in common whose files hold one picture each, for hand-over to effects. */
export const STORED = {
  aliases: [],
  fidelity: 'exact',
  losslessForm: true,
  intra: true,
  defaultProfile: null,
  defaultCrf: null,
  carriedTags: ['sample-aspect'],
  narrowOnly: false,
  fields: [],
  oddSizes: true,
  widthStep: 1,
  lineStep: 1,
  streamed: false,
  quantiser: null,
  megapixelsPerCoreSecond: 14,
  keepsAlpha: () => false,
} as const satisfies Partial<PictureCodec>;
