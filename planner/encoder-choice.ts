import type { ChromaName } from '../jobs/manifest/colour.js';
import type { Capabilities } from '../jobs/plan/capabilities.js';
import type { OutputRecipe } from '../jobs/plan/plan.js';
import type { MakeRecipe, VideoCodecName } from '../jobs/targets/target.js';
import type { SettledMake } from './settle-video.js';

interface EncoderFacts {
  readonly encoder: OutputRecipe['video']['encoder'];
  readonly defaultProfile: string | null;
  readonly containers: readonly MakeRecipe['container'][];
  /** Whether a full-range Y'CbCr picture can be flagged as such. */
  readonly keepsFullRange: boolean;
}

/** What the planner knows of each codec beyond what ffmpeg tells: nothing here repeats ffmpeg's own lists. */
export const ENCODERS: Readonly<Record<VideoCodecName, EncoderFacts>> = {
  // RDD 36 carries no range flag: the picture is narrow by definition.
  prores: {
    encoder: 'prores_ks',
    defaultProfile: 'hq',
    containers: ['mov', 'mkv'],
    keepsFullRange: false,
  },
  cineform: { encoder: 'cfhd', defaultProfile: 'film3+', containers: ['mov', 'mkv'], keepsFullRange: false },
  ffv1: { encoder: 'ffv1', defaultProfile: null, containers: ['mkv', 'mov'], keepsFullRange: true },
  h264: { encoder: 'libx264', defaultProfile: null, containers: ['mp4', 'mov', 'mkv'], keepsFullRange: true },
  hevc: { encoder: 'libx265', defaultProfile: null, containers: ['mp4', 'mov', 'mkv'], keepsFullRange: true },
};

/** ffmpeg's planar pixel format of a layout. Null where it has none. */
export function pixelFormatName(chroma: ChromaName, depth: number, rgb: boolean): string | null {
  const suffix = depth === 8 ? '' : `${depth}le`;
  if (rgb) return `gbrp${suffix}`;
  if (chroma === '4:0:0') return `gray${suffix}`;
  if (chroma === '4:1:1') return depth === 8 ? 'yuv411p' : null;
  return `yuv${chroma.replaceAll(':', '')}p${suffix}`;
}

export type EncoderChoice =
  | {
      readonly ok: true;
      readonly encoder: EncoderFacts['encoder'];
      readonly profile: string | null;
      readonly pixelFormat: string;
      readonly keepsFullRange: boolean;
    }
  | { readonly ok: false; readonly reason: string; readonly next: string };

/** The encoder for a recipe, or why this site's ffmpeg cannot do it and which route would work. */
export function chooseEncoder(make: SettledMake, capabilities: Capabilities): EncoderChoice {
  const { codec, bitDepth, chroma, rgb } = make.video;
  const facts = ENCODERS[codec];
  const inputs = capabilities.encoders[facts.encoder];
  if (inputs === undefined) {
    return {
      ok: false,
      reason: `this ffmpeg has no ${facts.encoder} encoder`,
      next: `install an ffmpeg built with ${facts.encoder}; goodgate doctor lists what is missing`,
    };
  }
  if (!facts.containers.includes(make.container)) {
    return {
      ok: false,
      reason: `${codec} is not carried in ${make.container}`,
      next: `use ${facts.containers.join(', ')} in the target's make.container`,
    };
  }
  const pixelFormat = pixelFormatName(chroma, bitDepth, rgb);
  if (pixelFormat === null || !inputs.includes(pixelFormat)) {
    const able = (Object.keys(ENCODERS) as VideoCodecName[]).filter((name) =>
      (capabilities.encoders[ENCODERS[name].encoder] ?? []).some(
        (format) => format === pixelFormat || format === pixelFormatName(chroma, bitDepth, true),
      ),
    );
    return {
      ok: false,
      reason: `${facts.encoder} takes ${inputs.join(', ')}: not ${chroma} at ${bitDepth} bits${rgb ? ' RGB' : ''}`,
      next:
        able.length > 0
          ? `codecs here that take ${bitDepth} bits at ${chroma}: ${able.join(', ')}`
          : 'choose a depth and sampling from that list',
    };
  }
  return {
    ok: true,
    encoder: facts.encoder,
    profile: make.video.profile ?? facts.defaultProfile,
    pixelFormat,
    keepsFullRange: facts.keepsFullRange,
  };
}
