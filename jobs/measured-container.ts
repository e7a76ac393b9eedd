import { z } from 'zod';
import { colourTags, hdrStaticMetadata, rationalText, scanName } from './colour.js';

const count = z.number().int().nonnegative();
const seconds = z.number();

/** What one layer of a file says of the picture. Null: this layer does not speak of it, or cannot be read apart. */
export const layer = z.object({
  colour: colourTags.nullable(),
  /** Lines and samples a line, before any aperture. */
  raster: z.object({ width: count, height: count }).nullable(),
  /** Read of the bitstream only. `fixed`: it promises that every frame lasts as long; else it is the tick of a clock. */
  frameRate: z.object({ rate: rationalText, fixed: z.boolean() }).nullable(),
  sampleAspect: rationalText.nullable(),
  scan: scanName.nullable(),
  /** What is to be shown of the raster, in samples of it; boxes of MOV and MP4 only. */
  cleanAperture: z.object({ width: z.number().positive(), height: z.number().positive() }).nullable(),
  mastering: hdrStaticMetadata.shape.mastering,
  lightLevel: hdrStaticMetadata.shape.lightLevel,
  /** The codec's own names: `High 4:2:2`, `4.1`. */
  profile: z.string().nullable(),
  level: z.string().nullable(),
  /** Where chroma samples sit: `left`, `center`, `topleft`, ... (H.273, 4:2:0 only). */
  chromaSiting: z.string().nullable(),
});
export type Layer = z.infer<typeof layer>;

/** Both are null for a file without a picture; `container` also where it cannot be read apart from the bitstream. */
export const layers = z.object({ container: layer.nullable(), bitstream: layer.nullable() });
export type Layers = z.infer<typeof layers>;

export const trackEdit = z.object({
  /** How long the edit is presented; null: to the end of the track's samples. */
  seconds: seconds.nonnegative().nullable(),
  /** Where in the track's own samples it begins; null for an empty edit, which presents nothing. */
  mediaStartSeconds: seconds.nullable(),
  /** 1 is as recorded; 0 holds a frame. */
  rate: z.number(),
});
export type TrackEdit = z.infer<typeof trackEdit>;

export const containerTrack = z.object({
  kind: z.enum(['video', 'audio', 'timecode', 'other']),
  /** Four-character code of MOV and MP4, else the codec's name. */
  codec: z.string(),
  /** As the container counts them: pictures; packets of coded sound; single samples of PCM in MOV. */
  samples: count.nullable(),
  /** Of all its samples, before any edit list. */
  mediaSeconds: seconds.nonnegative().nullable(),
  /** What a player is told to present, after the edit list. */
  presentedSeconds: seconds.nonnegative().nullable(),
  /** When its first sample is presented, after the edit list. */
  startSeconds: seconds.nullable(),
  /** Null where the container has no edit lists; empty where it has none for this track. */
  edits: z.array(trackEdit).nullable(),
});
export type ContainerTrack = z.infer<typeof containerTrack>;

/** The timecode track of MOV and MP4. */
export const timecodeTrack = z.object({
  /** Label of the first frame; null where the rate has no timecode. */
  start: z.string().nullable(),
  /** The track's own rate. */
  frameRate: rationalText,
  /** Labels a second of counting. */
  framesPerSecond: count,
  dropFrame: z.boolean(),
  samples: count,
  /** Frames the track gives labels to, of its own rate. */
  frames: z.number().nonnegative(),
  /** Frame before which the count jumps, from the first on; at most 100. */
  jumps: z.array(z.object({ frame: count, expected: z.number().int(), found: z.number().int() })),
});
export type TimecodeTrack = z.infer<typeof timecodeTrack>;

export const wrapper = z.object({
  /** Major brand of MOV and MP4: `qt  `, `isom`; null elsewhere. */
  brand: z.string().nullable(),
  /** The index stands before the samples (MOV and MP4); null elsewhere. */
  indexFirst: z.boolean().nullable(),
  /** Movie fragments; null where the container has no such thing. */
  fragments: count.nullable(),
  /** Bytes after the last box that belong to none; null where not known. */
  trailingBytes: count.nullable(),
  tracks: z.array(containerTrack),
  timecode: timecodeTrack.nullable(),
});
export type Wrapper = z.infer<typeof wrapper>;

/** The coded picture, from its packets and from the flags of the decoded frames. */
export const coding = z.object({
  packets: count,
  /** Pictures from which decoding can begin: by the container's table and by the decoder; null where not known. */
  keyFrames: z.object({ container: count.nullable(), bitstream: count.nullable() }),
  /** Every decoded frame is an intra picture. */
  intraOnly: z.boolean().nullable(),
  /** Frames from one key frame to the next, in coded order; the last group may be cut short and is left out of `shortest`. */
  gop: z.object({ shortest: count.nullable(), longest: count, closed: z.boolean().nullable() }).nullable(),
  /** Bits a second of the picture alone. `peak`: the most in any second; null for less than a second. */
  bitRate: z.object({ mean: z.number().nonnegative(), peak: z.number().nonnegative().nullable() }).nullable(),
  /** Packets without a time, with the time of another one, and with a decoding time not after the one before. */
  timestamps: z.object({ missing: count, repeated: count, backward: count }),
});
export type Coding = z.infer<typeof coding>;

/** What was read of a file around its samples: keys of the measurement. */
export const containerFigures = z.object({
  layers,
  /** Null where the container could not be read. */
  wrapper: wrapper.nullable(),
  /** Null for a file without a picture, or where its packets could not be listed. */
  coding: coding.nullable(),
});
export type ContainerFigures = z.infer<typeof containerFigures>;
