import { z } from 'zod';
import { chromaName, matrixName, primariesName, rangeName, rationalText, transferName } from './colour.js';
import { requirementSet } from './requirement.js';

export const videoCodecName = z.enum(['prores', 'cineform', 'ffv1', 'h264', 'hevc']);
export type VideoCodecName = z.infer<typeof videoCodecName>;

/** How to make a file. Everything left out stays as in the original. */
export const makeRecipe = z.strictObject({
  container: z.enum(['mov', 'mp4', 'mkv', 'mxf']),
  video: z.strictObject({
    codec: videoCodecName,
    /** The codec's own profile name, e.g. `hq` (prores), `film3+` (cineform), `main10` (hevc). */
    profile: z.string().optional(),
    /** `source` keeps the depth the clip's decoder delivers. */
    bitDepth: z.union([z.number().int().min(8).max(16), z.literal('source')]),
    chroma: z.union([chromaName, z.literal('source')]),
    /** RGB coded as it is (matrix `gbr`), for codecs that keep their full depth only that way. `source`: RGB stays RGB, Y'CbCr stays Y'CbCr. */
    rgb: z.union([z.boolean(), z.literal('source')]).default(false),
    /** Constant-quality figure of h264 and hevc; lower is better. */
    crf: z.number().min(0).max(51).optional(),
    lossless: z.boolean().default(false),
    /** Ceiling of the bit rate, bits a second. */
    maxBitRate: z.number().int().positive().optional(),
  }),
  raster: z
    .union([
      z.literal('source'),
      z.strictObject({ maxWidth: z.number().int().positive(), maxHeight: z.number().int().positive() }),
      z.strictObject({
        width: z.number().int().positive(),
        height: z.number().int().positive(),
        fit: z.enum(['pad', 'crop']).default('pad'),
      }),
    ])
    .default('source'),
  /** `source` keeps the clip's scan; `progressive` deinterlaces to one frame per frame. */
  scan: z.enum(['source', 'progressive']).default('source'),
  frameRate: z.union([z.literal('source'), rationalText]).default('source'),
  /** `source` keeps transfer and primaries (camera log stays log); a colour renders to it. */
  colour: z
    .union([
      z.literal('source'),
      z.strictObject({
        transfer: transferName,
        primaries: primariesName,
        matrix: matrixName,
        range: rangeName.default('narrow'),
      }),
    ])
    .default('source'),
  /** Apply the clip's look. */
  look: z.boolean().default(false),
  burnIn: z
    .strictObject({ timecode: z.boolean().default(false), clipName: z.boolean().default(false) })
    .optional(),
  audio: z
    .strictObject({
      codec: z.enum(['pcm_s16le', 'pcm_s24le', 'aac', 'flac']),
      sampleRate: z.number().int().positive().optional(),
      /** `source` keeps every stream and channel; `stereo` folds the first stream down to two. */
      channels: z.enum(['source', 'stereo']).default('source'),
      bitRate: z.number().int().positive().optional(),
    })
    .optional(),
});
export type MakeRecipe = z.infer<typeof makeRecipe>;

/** Folders of a batch that are not outputs: a target of that name would write into them. */
export const RESERVED_TARGET_NAMES = [
  'originals',
  'measurements',
  'verdicts',
  'records',
  'results',
  'logs',
  'markers',
] as const;

export const target = z
  .strictObject({
    schema: z.literal('goodgate/target@1'),
    name: z
      .string()
      .regex(/^[a-z0-9][a-z0-9-]{0,63}$/, 'lower-case letters, digits and hyphens, 64 at most')
      .refine((name) => !RESERVED_TARGET_NAMES.some((reserved) => reserved === name), {
        message: `another name: ${RESERVED_TARGET_NAMES.join(', ')} are folders of a batch`,
      }),
    title: z.string().min(1),
    /** One or two sentences for the person who chooses. */
    about: z.string().optional(),
    /** Documents the target follows. */
    standards: z.array(z.string()).optional(),
    /** The target this one starts from, by name or path; `null` under a key takes that key away. */
    extends: z.string().min(1).optional(),
    make: makeRecipe.optional(),
    require: requirementSet.optional(),
  })
  .refine((t) => t.make !== undefined || t.require !== undefined, {
    message: 'a target needs `make` (how to make a file), `require` (what it must measure), or both',
  });
export type Target = z.infer<typeof target>;
