import { z } from 'zod';
import { hdrStaticMetadata } from '../../../jobs/manifest/colour.js';

/** The picture format of a frame as decoded, before any conversion. */
const frameFormat = z.strictObject({
  pixelFormat: z.string(),
  width: z.number().int(),
  height: z.number().int(),
});
export type FrameFormat = Readonly<z.infer<typeof frameFormat>>;

const formatChange = z.strictObject({
  /** First frame of the new format. */
  frame: z.number().int(),
  before: frameFormat,
  after: frameFormat,
});
export type FormatChange = Readonly<z.infer<typeof formatChange>>;

/** The sample aspect changes at a frame; `W/H` in words. */
const aspectChange = z.strictObject({ frame: z.number().int(), before: z.string(), after: z.string() });
export type AspectChange = Readonly<z.infer<typeof aspectChange>>;

const aspectRecord = z.strictObject({
  changes: z.array(aspectChange),
  first: z.strictObject({ frame: z.number().int(), aspect: z.string() }).nullable(),
  last: z.string().nullable(),
});
/** All that an `AspectLog` has read. */
export type AspectRecord = z.infer<typeof aspectRecord>;

const count = z.number().int().nonnegative();
/** Numbers as they lie in memory; with `z.instanceof` they could not be in memory that threads share. */
export const floats = z.custom<Float64Array>((value) => value instanceof Float64Array);

/** All that a `FrameLog` has read, for another process. */
export const frameRecord = z.strictObject({
  timeBase: z.strictObject({ num: z.number().int(), den: z.number().int() }).nullable(),
  timeBaseChanged: z.boolean(),
  /** Time stamp of each frame in ticks, NaN where it has none. */
  ticks: floats,
  last: frameFormat.nullable(),
  fields: z.strictObject({ top: count, bottom: count }),
  pictures: z.strictObject({ key: count, intra: count, keyNotIntra: count, typed: count }),
  aspects: aspectRecord,
  changes: z.array(formatChange),
  hdr: hdrStaticMetadata.pick({ mastering: true, lightLevel: true }),
});
export type FrameRecord = z.infer<typeof frameRecord>;

export function emptyFrameRecord(): FrameRecord {
  return {
    timeBase: null,
    timeBaseChanged: false,
    ticks: new Float64Array(0),
    last: null,
    fields: { top: 0, bottom: 0 },
    pictures: { key: 0, intra: 0, keyNotIntra: 0, typed: 0 },
    aspects: { changes: [], first: null, last: null },
    changes: [],
    hdr: { mastering: null, lightLevel: null },
  };
}
