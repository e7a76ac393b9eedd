import { z } from 'zod';
import { chromaName, colourTags, hdrStaticMetadata, rationalText, scanName } from './colour.js';

/**
 * What a clip says of itself: headers of container and bitstream, read by `scan`. Facts are declarations;
 * what the samples show is a measurement.
 */
export const videoFacts = z.object({
  /** ffmpeg's stream index within the file. */
  stream: z.number().int().nonnegative(),
  codec: z.string(),
  profile: z.string().nullable(),
  width: z.number().int().positive(),
  height: z.number().int().positive(),
  sampleAspect: rationalText.nullable(),
  displayAspect: rationalText.nullable(),
  /** Frames a second as the container presents them. */
  frameRate: rationalText.nullable(),
  /** True when the first packets are evenly spaced and average and nominal rate agree; null when unknown. */
  constantRate: z.boolean().nullable(),
  scan: scanName.nullable(),
  durationSeconds: z.number().nonnegative().nullable(),
  /** Frames the container declares, or packets counted where it declares none. */
  frames: z.number().int().nonnegative().nullable(),
  framesFrom: z.enum(['container', 'packets']).nullable(),
  /** ffmpeg pixel format the decoder delivers, e.g. `yuv422p10le`. */
  pixelFormat: z.string(),
  bitDepth: z.number().int().positive(),
  chroma: chromaName.nullable(),
  /** Clockwise degrees a player must turn the picture by, after it is mirrored where `mirrored` says so. */
  rotation: z.number(),
  /** A player must show left as right. */
  mirrored: z.boolean().default(false),
  colour: colourTags,
  /** The same four tags by layer, null where the layer does not speak. */
  colourByLayer: z.object({ container: colourTags.nullable(), bitstream: colourTags.nullable() }),
  hdr: hdrStaticMetadata,
  chromaLocation: z.string().nullable(),
});
export type VideoFacts = z.infer<typeof videoFacts>;

export const audioFacts = z.object({
  stream: z.number().int().nonnegative(),
  codec: z.string(),
  channels: z.number().int().positive(),
  layout: z.string().nullable(),
  sampleRate: z.number().int().positive(),
  bitDepth: z.number().int().positive().nullable(),
  durationSeconds: z.number().nonnegative().nullable(),
});
export type AudioFacts = z.infer<typeof audioFacts>;

export const clipFacts = z.object({
  bytes: z.number().int().nonnegative(),
  /** Last change of the file, ISO 8601 UTC with milliseconds. With `bytes` it tells whether facts are stale. */
  modified: z.string(),
  container: z.object({
    /** ffprobe's demuxer name list, e.g. `mov,mp4,m4a,3gp,3g2,mj2`. */
    format: z.string(),
    durationSeconds: z.number().nonnegative().nullable(),
    startTimecode: z.string().nullable(),
    reel: z.string().nullable(),
  }),
  video: videoFacts.nullable(),
  audio: z.array(audioFacts),
  /** Streams that are neither picture nor sound (timecode, data, subtitles), by kind. */
  otherStreams: z.array(z.string()),
  /** Oddities worth a person's attention, in words. */
  notes: z.array(z.string()),
});
export type ClipFacts = z.infer<typeof clipFacts>;
