import { type ListedPictureCodec, PICTURE_CODECS, pictureCodec } from '../jobs/codecs/picture-codecs.js';
import type { ChromaName } from '../jobs/manifest/colour.js';
import type { Capabilities } from '../jobs/plan/capabilities.js';
import type { SettledMake } from './settle-video.js';

/** ffmpeg's planar pixel format; null where there is none. */
export function pixelFormatName(chroma: ChromaName, depth: number, rgb: boolean): string | null {
  const suffix = depth === 8 ? '' : `${depth}le`;
  if (rgb) return `gbrp${suffix}`;
  if (chroma === '4:0:0') return `gray${suffix}`;
  if (chroma === '4:1:1') return depth === 8 ? 'yuv411p' : null;
  return `yuv${chroma.replaceAll(':', '')}p${suffix}`;
}

/** The same with alpha; FFV1 accepts 8-bit RGB with alpha only as `bgra`. */
function alphaFormats(chroma: ChromaName, depth: number, rgb: boolean): string[] {
  const suffix = depth === 8 ? '' : `${depth}le`;
  if (rgb) return [`gbrap${suffix}`, ...(depth === 8 ? ['bgra'] : [])];
  return /^4:(4:4|2:2|2:0)$/.test(chroma) ? [`yuva${chroma.replaceAll(':', '')}p${suffix}`] : [];
}

const PACKED: Readonly<Record<number, readonly string[]>> = {
  8: ['bgr0', 'rgb24'],
  16: ['rgb48le', 'gbrpf32le'],
};

/**
 * The same without alpha, the first that an encoder takes: FFV1 takes 8-bit RGB only as `bgr0`, pictures by
 * themselves take it packed, and OpenEXR takes floats, of which it keeps half.
 */
function plainFormats(chroma: ChromaName, depth: number, rgb: boolean): string[] {
  const name = pixelFormatName(chroma, depth, rgb);
  return name === null ? [] : [name, ...((rgb && PACKED[depth]) || [])];
}

export type EncoderChoice =
  | {
      readonly ok: true;
      readonly codec: ListedPictureCodec;
      readonly profile: string | null;
      readonly pixelFormat: string;
      readonly bitDepth: number;
      readonly alpha: boolean;
    }
  | { readonly ok: false; readonly reason: string; readonly next: string };

/** Depths at which alpha may be coded, in order of preference; empty: no alpha. */
export type AlphaDepths = readonly number[];

/** The encoder for a recipe, or why this ffmpeg cannot encode it and what would work. */
export function chooseEncoder(
  make: SettledMake,
  capabilities: Capabilities,
  alphaDepths: AlphaDepths = [],
): EncoderChoice {
  const { bitDepth, chroma, rgb } = make.video;
  const codec = pictureCodec(make.video.codec);
  const inputs = capabilities.encoders[codec.encoder];
  if (inputs === undefined) {
    return {
      ok: false,
      reason: `this ffmpeg has no ${codec.encoder} encoder`,
      next: `install an ffmpeg built with ${codec.encoder}; goodgate doctor lists what is missing`,
    };
  }
  if (!codec.containers.includes(make.container)) {
    return {
      ok: false,
      reason: `${codec.name} cannot be stored in ${make.container}`,
      next: `use ${codec.containers.join(', ')} in the target's make.container`,
    };
  }
  const profile = make.video.profile ?? codec.defaultProfile;
  for (const depth of codec.keepsAlpha(profile) ? alphaDepths : []) {
    const format = alphaFormats(chroma, depth, rgb).find((each) => inputs.includes(each));
    if (format !== undefined)
      return { ok: true, codec, profile, pixelFormat: format, bitDepth: depth, alpha: true };
  }
  const formats = plainFormats(chroma, bitDepth, rgb);
  const pixelFormat = formats.find((format) => inputs.includes(format));
  if (pixelFormat === undefined) {
    const others = [...formats, ...plainFormats(chroma, bitDepth, true)];
    const able = PICTURE_CODECS.filter(({ encoder }) =>
      (capabilities.encoders[encoder] ?? []).some((format) => others.includes(format)),
    ).map(({ name }) => name);
    return {
      ok: false,
      reason: `${codec.encoder} accepts ${inputs.join(', ')}: not ${chroma} at ${bitDepth} bits${rgb ? ' RGB' : ''}`,
      next:
        able.length > 0
          ? `codecs of this ffmpeg for ${bitDepth} bits at ${chroma}: ${able.join(', ')}`
          : 'choose a depth and sampling from that list',
    };
  }
  return { ok: true, codec, profile, pixelFormat, bitDepth, alpha: false };
}
