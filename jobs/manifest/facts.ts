import { z } from 'zod';
import { field } from '../documents/field.js';
import { chromaName, colourTags, hdrStaticMetadata, rationalText, scanName } from './colour.js';

const count = z.number().int().nonnegative();
const positiveInt = z.number().int().positive();
const seconds = z.number().nonnegative().nullable();
const stream = field("ffmpeg's index of the stream within the file, from 0.", count);

/**
 * Name of an ffmpeg pixel format. It is used in filter graphs, so it must not contain their special
 * characters.
 */
export const pixelFormatName = z.string().regex(/^[a-z0-9_]{2,40}$/, 'a pixel format such as yuv422p10le');

/**
 * What a clip declares: headers of container and bitstream, read by `scan`. What the samples show is a
 * measurement.
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
    'Frames a second as presented: the rate of all frames, or of most of them, as a rational.',
    rationalText.nullable(),
  ),
  constantRate: field(
    'True when all frames have the same duration, within 1 % of jitter; null when unknown.',
    z.boolean().nullable(),
  ),
  steady: field(
    'How to present the frames at a constant rate without losing one, where their times do not fit it or the last one is ' +
      'very short; absent for other files, and where no common rate fits all frames.',
    z
      .object({
        rate: field('Frames a second, as a rational.', rationalText),
        round: field(
          'How times between two frames of that rate are rounded.',
          z.enum(['near', 'up', 'down']),
        ),
        frames: field('Number of frames at that rate.', positiveInt),
        hold: field('How many of them repeat the last frame.', positiveInt),
      })
      .optional(),
  ),
  scan: field(
    'Scan: progressive, or interlaced with the top or the bottom field first; null when unknown.',
    scanName.nullable(),
  ),
  durationSeconds: field('Length of the picture in seconds.', seconds),
  frames: field(
    'Frames the container declares, or those counted in its packets where it declares none.',
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
    'Degrees by which a player must turn the picture clockwise, after mirroring it where `mirrored` is true.',
    z.number(),
  ),
  mirrored: field('Whether a player must mirror the picture, left to right.', z.boolean().default(false)),
  colour: field('Colour tags of both layers together; null where neither declares one.', colourTags),
  colourByLayer: field(
    'The same four tags by layer; null where the layer declares none.',
    z.object({
      container: field('Colour tags of the container.', colourTags.nullable()),
      bitstream: field('Colour tags of the bitstream.', colourTags.nullable()),
    }),
  ),
  hdr: field('HDR metadata for the whole file.', hdrStaticMetadata),
  chromaLocation: field("Chroma siting, by ffmpeg's name: `left`.", z.string().nullable()),
  dynamicHdr: field(
    'Kinds of dynamic HDR metadata, such as `SMPTE ST 2094-40`.',
    z.array(z.string()).default([]),
  ),
  iccProfile: field('Whether it has an ICC profile.', z.boolean().default(false)),
  captions: field('Whether captions are embedded in the picture (ATSC A/53).', z.boolean().default(false)),
});
export type VideoFacts = z.infer<typeof videoFacts>;

export const audioFacts = z.object({
  stream,
  codec: field("Codec of the sound, by ffmpeg's name.", z.string()),
  channels: field('Number of channels.', positiveInt),
  layout: field(
    'Channel layout as ffmpeg names it: `stereo`; null where none is declared.',
    z.string().nullable(),
  ),
  sampleRate: field('Sample rate, Hz.', positiveInt),
  bitDepth: field('Bits of a sample, as declared; null where none are.', positiveInt.nullable()),
  durationSeconds: field('Length of the stream in seconds; null where none is declared.', seconds),
  decoder: field(
    'Decoder that has to be named to ffmpeg, which would choose a wrong one; otherwise absent.',
    z.string().optional(),
  ),
  misread: field('Why ffmpeg decodes this sound wrongly; otherwise absent.', z.string().optional()),
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

/** What a slate says of a take; null where nothing says it. */
export const slate = z.object({
  scene: field('Scene, as the slate says.', z.string().nullable()),
  take: field('Number or name of the take, as the slate says.', z.string().nullable()),
  note: field('What was noted of it.', z.string().nullable()),
});
export type Slate = z.infer<typeof slate>;

const sequenceFault = z.object({
  why: field('What is wrong: missing, empty, or how a header differs from the first.', z.string()),
  numbers: field('Numbers of the frames: `1004`, `1007-1010`.', z.array(z.string())),
});
export type SequenceFault = z.infer<typeof sequenceFault>;

/** The files of a picture sequence, whose path has `#` in place of the frame number. */
const sequenceFacts = z.object({
  first: field('Number of the first frame.', count),
  last: field('Number of the last frame.', count),
  files: field('Files that belong to it.', count),
  faults: field('What is wrong with its frames, each with their numbers.', z.array(sequenceFault)),
});
export type SequenceFacts = z.infer<typeof sequenceFacts>;

export const clipFacts = z.object({
  bytes: field('Size of the file in bytes.', count),
  modified: field(
    'Last change of the file, ISO 8601 UTC with milliseconds. With `bytes` it shows whether the facts are out of date.',
    z.string(),
  ),
  container: field(
    'What the container declares for the whole file.',
    z.object({
      format: field("ffprobe's demuxer name list, e.g. `mov,mp4,m4a,3gp,3g2,mj2`.", z.string()),
      durationSeconds: field('Length of the file in seconds.', seconds),
      startTimecode: field(
        'Timecode of the first frame; null where none is declared.',
        z.string().nullable(),
      ),
      reel: field('Name of the reel; null where none is declared.', z.string().nullable()),
      timeReference: field(
        'Of Broadcast Wave: where it begins, in samples since midnight (EBU Tech 3285).',
        z
          .object({
            samples: field('Samples since midnight.', count),
            sampleRate: field('How many of them are a second, Hz.', positiveInt),
            frameRate: field(
              'Frames a second of the recorder’s timecode, as its iXML states them; otherwise absent.',
              rationalText.optional(),
            ),
            dropFrame: field(
              'Whether that timecode drops frames, as its iXML states; otherwise absent.',
              z.boolean().optional(),
            ),
          })
          .optional(),
      ),
      slate: field('Of Broadcast Wave, MOV and MP4 with iXML: scene and take.', slate.optional()),
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
  notes: field('Remarks on unusual properties that a person should know.', z.array(z.string())),
  sequence: field('Of a picture sequence only: its frames.', sequenceFacts.optional()),
});
export type ClipFacts = z.infer<typeof clipFacts>;
