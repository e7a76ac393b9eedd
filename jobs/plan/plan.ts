import { z } from 'zod';
import { PICTURE_CODECS } from '../codecs/picture-codecs.js';
import { SOUND_CODECS } from '../codecs/sound-codecs.js';
import { CONTAINERS } from '../containers/containers.js';
import { absolutePath, pathBelow } from '../documents/path-below.js';
import { listedHash } from '../hash-list/hash-format.js';
import {
  chromaName,
  colour,
  hdrStaticMetadata,
  rangeName,
  rationalText,
  scanName,
} from '../manifest/colour.js';
import { clipFacts, pixelFormatName, slate } from '../manifest/facts.js';
import { requirementSet } from '../requirements/requirement.js';
import { targetName } from '../targets/target-name.js';
import { carryRecipe } from './carry.js';
import { LAID_AT_MOST, laidSound } from './laid-sound.js';

const contentHash = z.string().regex(/^[0-9a-f]{20}$/, 'a content hash: 20 hex digits');
/** More than any batch needs; a job with more is an attack. */
const OUTPUTS_AT_MOST = 100;
/** `10:00:00:00`, `;` for drop frame, three digits of frames above 100 a second. */
const timecodeText = z.string().regex(/^\d{1,2}:\d{2}:\d{2}[:;.]\d{2,3}$/, 'a timecode such as 10:00:00:00');
/** Text that is drawn or written as metadata: any, but no NUL, which ends an argument. */
const shownText = z
  .string()
  .max(4_096)
  .refine((text) => !text.includes('\0'), { message: 'no NUL' });

/** A change that loses information, named so that a person can decide. */
export const loss = z.object({
  /**
   * Short name: `depth`, `chroma`, `raster`, `lossy-coding`, `look`, `rendering`, `range`, `interlace`,
   * `sound`.
   */
  what: z.string(),
  /** One sentence: from what, to what, and how to keep it where that is possible. */
  why: z.string(),
});
export type Loss = z.infer<typeof loss>;

/** How the colour of the picture is changed. Null in a recipe: code values are not changed. */
export const renderingRecipe = z.object({
  from: colour,
  to: colour,
  exposure: z.number(),
  /** The look `.cube`, or null. */
  look: z
    .object({
      file: absolutePath,
      /** Whether the manifest declares its input colour; otherwise that is assumed. */
      stated: z.boolean(),
      /**
       * `instead` of the rendering, on the signal of the clip; or `after` it, on the signal of the target.
       */
      place: z.enum(['instead', 'after']),
      /** What 0 to 1 of its table means, at input and output. */
      scale: z.object({ input: rangeName, output: rangeName }),
    })
    .nullable(),
});
export type RenderingRecipe = z.infer<typeof renderingRecipe>;

/** `make` of a target with every choice made for one clip: data, no command line. */
export const outputRecipe = z.object({
  container: z.enum(CONTAINERS.map(({ name }) => name)),
  video: z.object({
    /** ffmpeg's encoder name; the worker accepts only names of its list. */
    encoder: z.enum(PICTURE_CODECS.map(({ encoder }) => encoder)),
    profile: z
      .string()
      .regex(/^[A-Za-z0-9][\w+.-]{0,31}$/)
      .nullable(),
    pixelFormat: pixelFormatName,
    bitDepth: z.number().int(),
    chroma: chromaName,
    alpha: z.boolean(),
    crf: z.number().nullable(),
    lossless: z.boolean(),
    maxBitRate: z.number().int().nullable(),
  }),
  /** Picture size in the file, and the rectangle the scaled picture takes in it (pad) or is cut to (crop). */
  raster: z.object({
    width: z.number().int().positive(),
    height: z.number().int().positive(),
    fit: z.enum(['exact', 'pad', 'crop', 'repeat']),
    /** Size the source is scaled to before padding or cropping. */
    scaledWidth: z.number().int().positive(),
    scaledHeight: z.number().int().positive(),
  }),
  sampleAspect: rationalText,
  /**
   * Degrees by which the decoded picture is turned clockwise, before anything else (a phone held upright).
   */
  rotation: z.union([z.literal(0), z.literal(90), z.literal(180), z.literal(270)]),
  deinterlace: z.boolean(),
  frameRate: rationalText,
  /** Scan of the source: from the manifest, or as the file declares. */
  sourceScan: scanName,
  /** Scan of the output. */
  scan: scanName,
  /** Colour of the source, and of the output, whose tags are written from this. */
  sourceColour: colour,
  colour,
  rendering: renderingRecipe.nullable(),
  /** HDR static metadata to write; null parts are not written. */
  hdr: hdrStaticMetadata,
  burnIn: z
    .object({
      timecode: timecodeText.nullable(),
      clipName: shownText.nullable(),
      reel: shownText.nullable().default(null),
      text: shownText.nullable().default(null),
    })
    .nullable(),
  timecode: timecodeText.nullable(),
  reel: shownText.nullable(),
  /** What else of the clip is kept; null: nothing. */
  carry: carryRecipe.nullable(),
  audio: z
    .object({
      codec: z.enum(SOUND_CODECS.map(({ name }) => name)),
      sampleRate: z.number().int().positive().nullable(),
      bitRate: z.number().int().positive().nullable(),
      /** Source streams that are kept, in order. */
      streams: z.array(z.number().int().nonnegative()).max(1_000),
      /** Source streams mixed to one stereo stream instead, with a gain for each channel and side. */
      stereo: z
        .array(
          z.object({
            stream: z.number().int().nonnegative(),
            left: z.array(z.number().min(0).max(1)).min(1).max(64),
            right: z.array(z.number().min(0).max(1)).min(1).max(64),
          }),
        )
        .min(1)
        .max(1_000)
        .nullable(),
      /** Whether the manifest chose the tracks: others are then left out on purpose. */
      chosen: z.boolean(),
      /**
       * Sound recorded apart in place of the clip's own, file by file; absent: the clip's own. Streams above
       * count through the tracks of all of them.
       */
      laid: z.array(laidSound).min(1).max(LAID_AT_MOST).optional(),
    })
    .nullable(),
});
export type OutputRecipe = z.infer<typeof outputRecipe>;

export const plannedOutput = z.object({
  target: targetName,
  /** Path below the batch's folder, `/` between parts. */
  path: pathBelow,
  /** Content hash of clip, recipe and tools: an output with this key on disk is not made again. */
  key: contentHash,
  recipe: outputRecipe,
  require: requirementSet,
  losses: z.array(loss),
  /** `by`: how many finished clips of this site corrected the size; absent: the codec's figures alone. */
  estimate: z.object({ bytes: z.number(), seconds: z.number(), by: z.number().int().optional() }),
});
export type PlannedOutput = z.infer<typeof plannedOutput>;

/** The clip as the worker gets it. */
export const plannedClip = z.object({
  /** Absolute path of the original. */
  path: absolutePath,
  /** Path relative to the root of the manifest: the name shown to people. */
  name: pathBelow,
  facts: clipFacts,
  /** Colour of the picture: its tags, corrected by the manifest. Null when not known. */
  colour: colour.nullable(),
  /** What the hash list of its card says of it; absent where no list does. */
  listed: listedHash.optional(),
  /** The same of sound recorded apart that is laid into its outputs, by its path. */
  listedSound: z.record(absolutePath, listedHash).optional(),
  /** Scene and take, as the manifest or else the file says; absent where neither does. */
  slate: slate.optional(),
});
export type PlannedClip = z.infer<typeof plannedClip>;

/** One unit of work: one decode of one clip, with all its outputs and measurements. */
export const plannedJob = z.object({
  id: contentHash,
  /** Content hash of the clip and its colour: the key of its own measurement. */
  clipKey: contentHash,
  clip: plannedClip,
  outputs: z.array(plannedOutput).max(OUTPUTS_AT_MOST),
  /** Targets the clip itself is judged by (targets with `require` and no `make`). */
  judge: z.array(z.object({ target: targetName, require: requirementSet })).max(OUTPUTS_AT_MOST),
  /** `by` as of outputs. */
  estimate: z.object({ seconds: z.number(), by: z.number().int().optional() }),
});
export type PlannedJob = z.infer<typeof plannedJob>;

export const refusal = z.object({
  clip: z.string(),
  target: z.string().nullable(),
  reason: z.string(),
  next: z.string(),
  /** The manifest or folder it came with, where the batch has clips of others too. */
  from: absolutePath.optional(),
});
export type Refusal = z.infer<typeof refusal>;

/** A clip of which nothing is made because the manifest says so. */
export const skippedClip = z.object({
  clip: z.string(),
  /** `rule 2 (file B002/**)`, or the manifest where the clip itself is marked. */
  by: z.string(),
  /** The manifest or folder it came with. */
  from: absolutePath.optional(),
});
export type SkippedClip = z.infer<typeof skippedClip>;

/** Sound recorded apart: nothing is made of it by itself, and it is told nevertheless. */
export const soundApart = z.object({
  file: z.string(),
  /** Scene, take and start timecode, as far as they are known. */
  words: z.string(),
  /** Clips that were recorded meanwhile, by timecode. */
  beside: z.array(z.string()),
  /** Clips into whose outputs it is laid. */
  laidInto: z.array(z.string()),
  /** The manifest or folder it came with. */
  from: absolutePath.optional(),
});
export type SoundApart = z.infer<typeof soundApart>;

/**
 * An output that was planned once and is not now: its file stays, and nobody judges it. `not-asked`: no
 * target or no clip asks for it any more. `refused`: it is asked for, and cannot be made now.
 */
export const leftOutput = z.object({
  clip: z.string(),
  target: targetName,
  path: pathBelow,
  why: z.enum(['not-asked', 'refused']).default('not-asked'),
});
export type LeftOutput = z.infer<typeof leftOutput>;

export const plan = z.object({
  schema: z.literal('goodgate/plan@1'),
  /** Content hash of the jobs: the batch's id. */
  id: z.string(),
  title: z.string(),
  /** Absolute folder that the originals lie in. */
  root: z.string(),
  /** Further such folders, of manifests that joined the batch. */
  joined: z.array(absolutePath).default([]),
  /** Absolute folder of the batch. */
  out: z.string(),
  jobs: z.array(plannedJob),
  refused: z.array(refusal),
  skipped: z.array(skippedClip).default([]),
  soundApart: z.array(soundApart).default([]),
  /** The manifests, or folders, that it was planned from. */
  manifests: z.array(absolutePath).default([]),
  /** Outputs of earlier plans of this folder, as far as none is planned there now. */
  left: z.array(leftOutput).default([]),
  /**
   * Where targets that are not built in were read from, by their name: what judges a file again names them.
   */
  targetFiles: z.record(targetName, absolutePath).default({}),
  /** Notes about the whole plan, such as two clips that would get the same name. */
  notes: z.array(z.string()),
  totals: z.object({
    clips: z.number().int(),
    outputs: z.number().int(),
    bytes: z.number(),
    /** Total time with a single worker. */
    workSeconds: z.number(),
    /** Time with the workers of this machine. */
    wallSeconds: z.number(),
    workers: z.number().int(),
  }),
});
export type Plan = z.infer<typeof plan>;
