import { z } from 'zod';
import { field } from '../documents/field.js';
import { chromaName, colourTags, hdrStaticMetadata, rationalText, scanName } from './colour.js';

const count = z.number().int().nonnegative();
const positiveInt = z.number().int().positive();
const seconds = z.number().nonnegative().nullable();
const stream = field("ffmpeg's index of the stream within the file, from 0.", count);

/**
 * A name as ffmpeg's pixel formats have it. It goes into filter graphs: nothing in it may mean anything
 * there.
 */
export const pixelFormatName = z.string().regex(/^[a-z0-9_]{2,40}$/, 'a pixel format such as yuv422p10le');

/**
 * What a clip says of itself: headers of container and bitstream, read by `scan`. Facts are declarations;
 * what the samples show is a measurement.
 */
export const videoFacts = z.object({
  stream,
  codec: field("Codec of the picture, by ffmpeg's name.", z.string()),
  profile: field("Profile of the codec, by ffmpeg's name.", z.string().nullable()),
  width: field('Width in pixels.', positiveInt),
  height: field('Height in lines.', positiveInt),
  sampleAspect: field('Width to height of one pixel, as a rational.', rationalText.nullable()),
  displayAspect: field('Width to height of the picture as shown, as a rational.', rationalText.nullable()),
  frameRate: field(
    'Frames a second as they are presented: the rate the frames keep, or that most of them have, as a rational.',
    rationalText.nullable(),
  ),
  constantRate: field(
    'True when every frame lasts as long as the next, but for 1 % of jitter; null when unknown.',
    z.boolean().nullable(),
  ),
  steady: field(
    'How to show frames at an even rate without losing one, where their times are off it or the last of them hardly ' +
      'lasts; absent for others, and where no rate in use has room for all.',
    z
      .object({
        rate: field('Frames a second, as a rational.', rationalText),
        round: field('How times between two places are rounded.', z.enum(['near', 'up', 'down'])),
        frames: field('Frames there are at that rate.', positiveInt),
        hold: field('How many of them show the last picture.', positiveInt),
      })
      .optional(),
  ),
  scan: field(
    'Scan: progressive, or interlaced with the top or the bottom field first; null when unknown.',
    scanName.nullable(),
  ),
  durationSeconds: field('Length of the picture in seconds.', seconds),
  frames: field(
    'Pictures the container presents, or those counted in its packets where it declares none.',
    count.nullable(),
  ),
  framesFrom: field(
    'Where `frames` comes from: declared by the container, or packets counted.',
    z.enum(['container', 'packets']).nullable(),
  ),
  pixelFormat: field('ffmpeg pixel format the decoder delivers, e.g. `yuv422p10le`.', pixelFormatName),
  bitDepth: field('Bits of a sample, as declared.', positiveInt),
  chroma: field('Chroma subsampling, as declared; null where it has no name.', chromaName.nullable()),
  rotation: field(
    'Clockwise degrees a player must turn the picture by, after it is mirrored where `mirrored` says so.',
    z.number(),
  ),
  mirrored: field('Whether a player must show left as right.', z.boolean().default(false)),
  colour: field('Colour tags, of both layers together; null where neither says something.', colourTags),
  colourByLayer: field(
    'The same four tags by layer, null where the layer does not speak.',
    z.object({
      container: field('Colour tags of the container.', colourTags.nullable()),
      bitstream: field('Colour tags of the bitstream.', colourTags.nullable()),
    }),
  ),
  hdr: field('HDR metadata that holds for the whole file.', hdrStaticMetadata),
  chromaLocation: field("Where the chroma samples sit, by ffmpeg's name: `left`.", z.string().nullable()),
  dynamicHdr: field(
    'Kinds of HDR metadata that change from picture to picture, such as `SMPTE ST 2094-40`.',
    z.array(z.string()).default([]),
  ),
  iccProfile: field('Whether an ICC profile describes its colour.', z.boolean().default(false)),
  captions: field('Whether captions lie in the picture itself (ATSC A/53).', z.boolean().default(false)),
});
export type VideoFacts = z.infer<typeof videoFacts>;

export const audioFacts = z.object({
  stream,
  codec: field("Codec of the sound, by ffmpeg's name.", z.string()),
  channels: field('Number of channels.', positiveInt),
  layout: field(
    'Channel layout as ffmpeg names it: `stereo`; null where none is stated.',
    z.string().nullable(),
  ),
  sampleRate: field('Sample rate, Hz.', positiveInt),
  bitDepth: field('Bits of a sample, as declared; null where none is stated.', positiveInt.nullable()),
  durationSeconds: field('Length of the stream in seconds; null where none is stated.', seconds),
  decoder: field(
    'Decoder ffmpeg has to be told of, since it would take the sound for another; else absent.',
    z.string().optional(),
  ),
  misread: field('Why what ffmpeg decodes of it is not the sound; else absent.', z.string().optional()),
});
export type AudioFacts = z.infer<typeof audioFacts>;

/** A stream that is neither the picture nor sound. */
export const otherStream = z.object({
  stream,
  kind: field(
    'What it holds: a second `picture`, a `cover`, `subtitles`, `captions`, the titles of `chapters`, `timecode`, ' +
      '`data`, or an `attachment`.',
    z.enum(['picture', 'cover', 'subtitles', 'captions', 'chapters', 'timecode', 'data', 'attachment']),
  ),
  codec: field("Its codec, by ffmpeg's name, or its four-character code.", z.string()),
});
export type OtherStream = z.infer<typeof otherStream>;

export const clipFacts = z.object({
  bytes: field('Size of the file in bytes.', count),
  modified: field(
    'Last change of the file, ISO 8601 UTC with milliseconds. With `bytes` it tells whether facts are stale.',
    z.string(),
  ),
  container: field(
    'What the container says of the whole file.',
    z.object({
      format: field("ffprobe's demuxer name list, e.g. `mov,mp4,m4a,3gp,3g2,mj2`.", z.string()),
      durationSeconds: field('Length of the file in seconds.', seconds),
      startTimecode: field('Timecode of the first frame; null where none is stated.', z.string().nullable()),
      reel: field('Name of the reel; null where none is stated.', z.string().nullable()),
      chapters: field('Chapters.', count.default(0)),
      tags: field(
        'Descriptive metadata: time of recording, comment, place. Of the file by name, of a track as ' +
          '`audio[0] language`; names in lower case.',
        z.record(z.string(), z.string()).default({}),
      ),
    }),
  ),
  video: field('The picture stream; null where there is none.', videoFacts.nullable()),
  audio: field('The sound streams.', z.array(audioFacts)),
  otherStreams: field('Streams that are neither the picture nor sound.', z.array(otherStream)),
  notes: field("Oddities worth a person's attention, in words.", z.array(z.string())),
});
export type ClipFacts = z.infer<typeof clipFacts>;
