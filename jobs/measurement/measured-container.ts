import { z } from 'zod';
import { field } from '../documents/field.js';
import { colourTags, hdrStaticMetadata, rationalText, scanName } from '../manifest/colour.js';

const count = z.number().int().nonnegative();
const seconds = z.number();
const size = (number: z.ZodNumber) => ({
  width: field('Width in pixels.', number),
  height: field('Height in lines.', number),
});

/**
 * What one layer of a file says of the picture. Null: this layer does not speak of it, or cannot be read
 * apart.
 */
export const layer = z.object({
  colour: field('Colour tags.', colourTags.nullable()),
  raster: field('Lines and samples a line, before any aperture.', z.object(size(count)).nullable()),
  frameRate: field(
    'Frame rate; read of the bitstream only.',
    z
      .object({
        rate: field('Frames a second, as a rational.', rationalText),
        fixed: field(
          'It promises that every frame lasts as long; else it is the tick of a clock.',
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
    'What is to be shown of the raster, in samples of it; boxes of MOV and MP4 only.',
    z.object(size(z.number().positive())).nullable(),
  ),
  mastering: hdrStaticMetadata.shape.mastering,
  lightLevel: hdrStaticMetadata.shape.lightLevel,
  profile: field("Profile, by the codec's own name: `High 4:2:2`.", z.string().nullable()),
  level: field("Level, by the codec's own name: `4.1`.", z.string().nullable()),
  chromaSiting: field(
    'Where chroma samples sit: `left`, `center`, `topleft`, ... (H.273, 4:2:0 only).',
    z.string().nullable(),
  ),
});
export type Layer = z.infer<typeof layer>;

export const layers = z.object({
  container: field(
    'What the container says; null for a file without a picture, and where it cannot be read apart ' +
      'from the bitstream.',
    layer.nullable(),
  ),
  bitstream: field('What the bitstream says; null for a file without a picture.', layer.nullable()),
});
export type Layers = z.infer<typeof layers>;

export const trackEdit = z.object({
  seconds: field(
    "How long the edit is presented, seconds; null: to the end of the track's samples.",
    seconds.nonnegative().nullable(),
  ),
  mediaStartSeconds: field(
    "Where in the track's own samples it begins, seconds; null for an empty edit, which presents nothing.",
    seconds.nullable(),
  ),
  rate: field('Speed: 1 is as recorded; 0 holds a frame.', z.number()),
});
export type TrackEdit = z.infer<typeof trackEdit>;

export const containerTrack = z.object({
  kind: field('What the track holds.', z.enum(['video', 'audio', 'timecode', 'other'])),
  codec: field("Four-character code of MOV and MP4, else the codec's name.", z.string()),
  samples: field(
    'As the container counts them: pictures; packets of coded sound; single samples of PCM in MOV.',
    count.nullable(),
  ),
  presentedSamples: field(
    'Pictures of the track that its edit list presents; null for other tracks, and where it cannot be told.',
    count.nullable(),
  ),
  partlyPresented: field(
    'Edits that begin within a picture: whether that one is shown depends on the decoder. Null as before.',
    count.nullable(),
  ),
  mediaSeconds: field(
    'Length of all its samples, before any edit list, seconds.',
    seconds.nonnegative().nullable(),
  ),
  presentedSeconds: field(
    'Length of what a player is told to present, after the edit list, seconds.',
    seconds.nonnegative().nullable(),
  ),
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
  start: field('Label of the first frame; null where the rate has no timecode.', z.string().nullable()),
  frameRate: field("The track's own rate, frames a second, as a rational.", rationalText),
  framesPerSecond: field('Labels a second of counting.', count),
  dropFrame: field('Whether it counts drop frame (ST 12-1).', z.boolean()),
  samples: field('Samples of the track: each begins a count.', count),
  frames: field('Frames the track gives labels to, of its own rate.', z.number().nonnegative()),
  jumps: field(
    'Where the count jumps, from the first on; at most 100.',
    z.array(
      z.object({
        frame: field('Frame before which it jumps.', count),
        expected: field('Number of the frame by the count before.', z.number().int()),
        found: field('Number of the frame as the track has it.', z.number().int()),
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
    'The index stands before the samples (MOV and MP4); null elsewhere.',
    z.boolean().nullable(),
  ),
  fragments: field('Movie fragments; null where the container has no such thing.', count.nullable()),
  trailingBytes: field(
    'Bytes after the last box that belong to none; null where not known.',
    count.nullable(),
  ),
  tracks: field('The tracks, in the order of the container.', z.array(containerTrack)),
  timecode: field('The timecode track of MOV and MP4; null where there is none.', timecodeTrack.nullable()),
});
export type Wrapper = z.infer<typeof wrapper>;

/** The coded picture, from its packets and from the flags of the decoded frames. */
export const coding = z.object({
  packets: field('Packets of the picture.', count),
  keyFrames: field(
    'Pictures from which decoding can begin.',
    z.object({
      container: field("By the container's table; null where not known.", count.nullable()),
      bitstream: field('By the decoder; null where not known.', count.nullable()),
    }),
  ),
  intraOnly: field('Every decoded frame is an intra picture; null where not known.', z.boolean().nullable()),
  gop: field(
    'Groups of pictures: frames from one key frame to the next, in coded order; null where none is marked.',
    z
      .object({
        shortest: field(
          'The shortest, in frames; the last group may be cut short and is left out. Null with fewer ' +
            'than two.',
          count.nullable(),
        ),
        longest: field('The longest, in frames.', count),
        closed: field('No picture leans on the group before; null where not known.', z.boolean().nullable()),
      })
      .nullable(),
  ),
  bitRate: field(
    'Bit rate of the picture alone; null where its packets carry no times.',
    z
      .object({
        mean: field('Mean, bits a second.', z.number().nonnegative()),
        peak: field(
          'The most in any second, bits a second; null for less than a second.',
          z.number().nonnegative().nullable(),
        ),
      })
      .nullable(),
  ),
  timestamps: field(
    'What is wrong with the times of packets.',
    z.object({
      missing: field('Packets without a time.', count),
      repeated: field('Packets with the time of another one.', count),
      backward: field('Packets with a decoding time not after the one before.', count),
    }),
  ),
});
export type Coding = z.infer<typeof coding>;

/** What was read of a file around its samples: keys of the measurement. */
export const containerFigures = z.object({
  layers: field('What each layer of the file says of the picture.', layers),
  wrapper: field('The container itself; null where it could not be read.', wrapper.nullable()),
  coding: field(
    'The coded picture. Null for a file without one, or where its packets could not be listed.',
    coding.nullable(),
  ),
});
export type ContainerFigures = z.infer<typeof containerFigures>;
