import { z } from 'zod';
import { matrixName, primariesName, rangeName, transferName } from './colour.js';
import { clipFacts } from './facts.js';

/** What a person knows better than the file's tags. A field given here overrides what the file says. */
export const colourOverride = z.strictObject({
  transfer: transferName.optional(),
  primaries: primariesName.optional(),
  matrix: matrixName.optional(),
  range: rangeName.optional(),
});
export type ColourOverride = z.infer<typeof colourOverride>;

const wanted = {
  colour: colourOverride.optional(),
  /** Path of a `.cube` look, relative to the manifest. */
  look: z.string().min(1).optional(),
  /** Exposure correction in stops, applied in scene-linear light. */
  exposure: z.number().min(-10).max(10).optional(),
  targets: z.array(z.string().min(1)).optional(),
};

export const manifestClip = z.strictObject({
  /** Path relative to the manifest's root. */
  file: z.string().min(1),
  reel: z.string().optional(),
  startTimecode: z.string().optional(),
  ...wanted,
  facts: clipFacts.optional(),
});
export type ManifestClip = z.infer<typeof manifestClip>;

export const manifest = z.strictObject({
  schema: z.literal('goodgate/manifest@1'),
  title: z.string().min(1),
  /** Folder the clips' paths start from, relative to the manifest or absolute. */
  root: z.string().min(1),
  defaults: z.strictObject(wanted).optional(),
  clips: z.array(manifestClip),
  /** Files `scan` found and could not read, with the reason: listed, never dropped. */
  unreadable: z.array(z.strictObject({ file: z.string(), reason: z.string() })).optional(),
  /** What `scan` left out by rule, counted: sidecars, thumbnails, hidden files. */
  notes: z.array(z.string()).optional(),
});
export type Manifest = z.infer<typeof manifest>;
