import { z } from 'zod';
import { field } from '../documents/field.js';
import { chromaName, colourTags, hdrStaticMetadata, rationalText, scanName } from '../manifest/colour.js';

const count = z.number().int().nonnegative();
const seconds = z.number();
const size = (number: z.ZodNumber) => ({
  width: field('Width in pixels.', number),
  height: field('Height in lines.', number),
});

/**
 * What one layer of a file declares about the picture. Null: this layer does not declare it, or cannot be
 * read separately.
 */
export const layer = z.object({
  colour: field('Colour tags.', colourTags.nullable()),
  raster: field('Lines and samples per line, before any clean aperture.', z.object(size(count)).nullable()),
  frameRate: field(
    'Frame rate; read of the bitstream only.',
    z
      .object({
        rate: field('Frames a second, as a rational.', rationalText),
        fixed: field(
          'Whether all frames are declared to have this duration; otherwise the rate is only that of a clock.',
          z.boolean(),
        ),
      })
      .nullable(),
  ),
  sampleAspect: field('Width to height of one pixel, as a rational.', rationalText.nullable()),
  scan: field(
    'Scan: progressive, or interlaced with the top or the bottom field first.',
    scanName.nullable(),
  ),
  cleanAperture: field(
    'Displayed part of the raster, in samples; read from boxes of MOV and MP4 only.',
    z.object(size(z.number().positive())).nullable(),
  ),
  mastering: hdrStaticMetadata.shape.mastering,
  lightLevel: hdrStaticMetadata.shape.lightLevel,
  profile: field("Profile, by the codec's own name: `High 4:2:2`.", z.string().nullable()),
  level: field("Level, by the codec's own name: `4.1`.", z.string().nullable()),
  samples: field(
    'Bits of a sample and chroma subsampling, as the configuration of the decoder in the container declares them.',
    z
      .object({
        bitDepth: field('Bits of a sample.', count),
        chroma: field('Chroma subsampling.', chromaName),
      })
      .nullable()
      .default(null),
  ),
  chromaSiting: field(
    'Chroma siting: `left`, `center`, `topleft`, ... (H.273, 4:2:0 only).',
    z.string().nullable(),
  ),
});
export type Layer = z.infer<typeof layer>;

export const layers = z.object({
  container: field(
    'What the container declares; null for a file without a picture, and where it cannot be read ' +
      'separately from the bitstream.',
    layer.nullable(),
  ),
  bitstream: field('What the bitstream declares; null for a file without a picture.', layer.nullable()),
});
export type Layers = z.infer<typeof layers>;

export const trackEdit = z.object({
  seconds: field(
    "How long the edit is presented, seconds; null: to the end of the track's samples.",
    seconds.nonnegative().nullable(),
  ),
  mediaStartSeconds: field(
    'Where in the samples of the track it begins, seconds; null for an empty edit, which presents nothing.',
    seconds.nullable(),
  ),
  rate: field('Speed: 1 is as recorded; 0 holds a frame.', z.number()),
});
export type TrackEdit = z.infer<typeof trackEdit>;

export const containerTrack = z.object({
  kind: field('Kind of the track.', z.enum(['video', 'audio', 'timecode', 'other'])),
  codec: field("Four-character code of MOV and MP4, else the codec's name.", z.string()),
  samples: field(
    'Samples as the container counts them: frames; packets of coded sound; single samples of PCM in MOV.',
    count.nullable(),
  ),
  presentedSamples: field(
    'Frames of the track that its edit list presents; null for other tracks, and where not known.',
    count.nullable(),
  ),
  partlyPresented: field(
    'Edits that begin within a frame, which some decoders show and others do not. Null as above.',
    count.nullable(),
  ),
  mediaSeconds: field(
    'Length of all its samples, before any edit list, seconds.',
    seconds.nonnegative().nullable(),
  ),
  presentedSeconds: field('Length presented after the edit list, seconds.', seconds.nonnegative().nullable()),
  startSeconds: field(
    'When its first sample is presented, after the edit list, seconds.',
    seconds.nullable(),
  ),
  edits: field(
    'Its edit list. Null where the container has no edit lists; empty where it has none for this track.',
    z.array(trackEdit).nullable(),
  ),
});
export type ContainerTrack = z.infer<typeof containerTrack>;

/** The timecode track of MOV and MP4. */
export const timecodeTrack = z.object({
  start: field('Timecode of the first frame; null where the rate has no timecode.', z.string().nullable()),
  frameRate: field("The track's own rate, frames a second, as a rational.", rationalText),
  framesPerSecond: field('Timecodes a second.', count),
  dropFrame: field('Whether it counts drop frame (ST 12-1).', z.boolean()),
  samples: field('Samples of the track: each starts a count.', count),
  frames: field('Frames that have a timecode, at the rate of the track.', z.number().nonnegative()),
  jumps: field(
    'The first 100 places where the count jumps.',
    z.array(
      z.object({
        frame: field('Frame before which it jumps.', count),
        expected: field('Expected number of the frame.', z.number().int()),
        found: field('Number of the frame in the track.', z.number().int()),
      }),
    ),
  ),
});
export type TimecodeTrack = z.infer<typeof timecodeTrack>;

export const wrapper = z.object({
  brand: field(
    'Major brand of MOV and MP4, four characters: `isom`, `qt` and two blanks; null elsewhere.',
    z.string().nullable(),
  ),
  indexFirst: field(
    'Whether the index is before the samples (MOV and MP4); null elsewhere.',
    z.boolean().nullable(),
  ),
  fragments: field('Movie fragments; null where the container has none by design.', count.nullable()),
  trailingBytes: field('Bytes after the last box; null where not known.', count.nullable()),
  tracks: field('The tracks, in the order of the container.', z.array(containerTrack)),
  timecode: field('The timecode track of MOV and MP4; null where there is none.', timecodeTrack.nullable()),
});
export type Wrapper = z.infer<typeof wrapper>;

/** The coded picture, from its packets and from the flags of the decoded frames. */
export const coding = z.object({
  packets: field('Packets of the picture.', count),
  keyFrames: field(
    'Frames at which decoding can begin.',
    z.object({
      container: field('In the table of the container; null where not known.', count.nullable()),
      bitstream: field('As reported by the decoder; null where not known.', count.nullable()),
    }),
  ),
  intraOnly: field(
    'Whether every decoded frame is an intra picture; null where not known.',
    z.boolean().nullable(),
  ),
  gop: field(
    'Groups of pictures: frames from one key frame to the next, in coded order; null where none is marked.',
    z
      .object({
        shortest: field(
          'The shortest, in frames, without the last one, which may be cut short. Null with fewer ' +
            'than two.',
          count.nullable(),
        ),
        longest: field('The longest, in frames.', count),
        closed: field(
          'Whether no picture refers to the previous group; null where not known.',
          z.boolean().nullable(),
        ),
      })
      .nullable(),
  ),
  bitRate: field(
    'Bit rate of the picture alone; null where its packets have no time stamps.',
    z
      .object({
        mean: field('Mean, bits a second.', z.number().nonnegative()),
        peak: field(
          'Highest in any second, bits a second; null for less than a second.',
          z.number().nonnegative().nullable(),
        ),
      })
      .nullable(),
  ),
  timestamps: field(
    'Faults in the time stamps of packets.',
    z.object({
      missing: field('Packets without a time stamp.', count),
      repeated: field('Packets with the same time stamp as another one.', count),
      backward: field('Packets whose decoding time is not after the previous one.', count),
    }),
  ),
});
export type Coding = z.infer<typeof coding>;

/** What was read of a file besides its samples: keys of the measurement. */
export const containerFigures = z.object({
  layers: field('What each layer of the file declares about the picture.', layers),
  wrapper: field('Structure of the container; null where it could not be read.', wrapper.nullable()),
  coding: field(
    'The coded picture. Null for a file without one, or where its packets could not be listed.',
    coding.nullable(),
  ),
});
export type ContainerFigures = z.infer<typeof containerFigures>;
