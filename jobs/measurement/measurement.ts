import { z } from 'zod';
import { field } from '../documents/field.js';
import { chromaName, hdrStaticMetadata, rationalText, scanName } from '../manifest/colour.js';
import { clipFacts, otherStream, videoFacts } from '../manifest/facts.js';
import { type FrameRange, frameRange } from './frame-range.js';
import { containerFigures } from './measured-container.js';
import { curves } from './measured-curves.js';
import { measuredEffective } from './measured-effective.js';
import { measuredFields } from './measured-fields.js';
import { flashes } from './measured-flashes.js';
import { histograms } from './measured-histograms.js';
import { measuredExposure, measuredLevels, measuredLuminance } from './measured-light.js';
import { codedLoudness, soundContent } from './measured-sound.js';
import { measuredTemporal } from './measured-temporal.js';

const confidence = field('How sure `effective` is.', z.enum(['high', 'low']));
const count = z.number().int().nonnegative();

export { type FrameRange, frameRange };

export const measuredEvent = frameRange.extend({
  kind: field(
    '`truncated`, `format-change`, `timestamp-gap`, `out-of-range`, `over-mastering-peak`, ...',
    z.string(),
  ),
  detail: field('What was seen there, in words.', z.string()),
});
export type MeasuredEvent = z.infer<typeof measuredEvent>;

export const audioMeasurement = z.object({
  stream: field("ffmpeg's index of the stream within the file, from 0.", count),
  codec: field("Codec of the sound, by ffmpeg's name.", z.string()),
  channels: field('Number of channels.', z.number().int().positive()),
  layout: field('Channel layout as ffmpeg names it; null where none is stated.', z.string().nullable()),
  sampleRate: field('Sample rate, Hz.', z.number().int().positive()),
  bitDepth: field(
    'Bits of a sample, as declared; null where none is stated.',
    z.number().int().positive().nullable(),
  ),
  samples: field('Samples per channel that were decoded.', count),
  durationSeconds: field('Length of what was decoded, seconds.', z.number().nonnegative()),
  integratedLufs: field(
    'Programme loudness, LUFS, gated (ITU-R BS.1770-5); null when nothing passes the gate (silence).',
    z.number().nullable(),
  ),
  loudnessRange: field(
    'Loudness range, LU (EBU Tech 3342); null when nothing passes the gate.',
    z.number().nullable(),
  ),
  maxMomentaryLufs: field(
    'Largest loudness of any 400 ms, LUFS; null in silence, or without one whole window.',
    z.number().nullable(),
  ),
  maxShortTermLufs: field(
    'Largest loudness of any 3 s, LUFS; null in silence, or without one whole window.',
    z.number().nullable(),
  ),
  truePeakDbtp: field(
    'True peak, dBTP (ITU-R BS.1770-5 Annex 2); null when every sample is zero.',
    z.number().nullable(),
  ),
  samplePeakDbfs: field('Highest sample, dBFS; null when every sample is zero.', z.number().nullable()),
  startSeconds: field(
    'First sample after the first picture, seconds; null where it is not known, or there is no picture.',
    z.number().nullable(),
  ),
  codedLoudness: field(
    'The loudness the sound states of itself; null where the coding carries none that is read, or it ' +
      'could not be read.',
    codedLoudness.nullable(),
  ),
  content: field('Channel by channel; null where the sound was not measured.', soundContent.nullable()),
});
export type AudioMeasurement = z.infer<typeof audioMeasurement>;

/** What a measurement repeats of the facts is said in the same words. */
const { codec, profile, pixelFormat, colour, colourByLayer, rotation, mirrored } = videoFacts.shape;
const { dynamicHdr, iccProfile, captions } = videoFacts.shape;
const { chapters, tags } = clipFacts.shape.container.shape;

const video = z.object({
  codec,
  profile,
  width: field('Width in pixels.', z.number().int()),
  height: field('Height in lines.', z.number().int()),
  sampleAspect: field(
    'Width to height of one pixel, as a rational; null where none is stated.',
    rationalText.nullable(),
  ),
  frameRate: field('Frames a second, as a rational.', rationalText.nullable()),
  constantRate: field(
    'Every frame lasts as long as the next, by the time stamps of every decoded frame.',
    z.boolean().nullable(),
  ),
  scan: field('Scan as declared by container and bitstream.', scanName.nullable()),
  frames: field('Frames decoded.', count),
  framesDeclared: field('Frames the container declares.', count.nullable()),
  durationSeconds: field('Length of the decoded picture, seconds.', z.number()),
  pixelFormat,
  bitDepth: field(
    'Bits of a sample.',
    z.object({
      declared: field('What the file says.', z.number().int()),
      effective: field('What its samples show; null where it cannot be told.', z.number().int().nullable()),
      confidence,
    }),
  ),
  chroma: field(
    'Chroma subsampling.',
    z.object({
      declared: field('What the file says; null where it has no name.', chromaName.nullable()),
      effective: field('What its samples show; null where it cannot be told.', chromaName.nullable()),
      confidence,
    }),
  ),
  colour,
  colourByLayer,
  rotation,
  mirrored,
  dynamicHdr,
  iccProfile,
  captions,
});

export const measurement = z
  .object({
    schema: field(
      'That this is a measurement, in the first edition of its schema.',
      z.literal('goodgate/measurement@1'),
    ),
    key: field(
      'Content key of the work it belongs to: the clip and how its colour was read, or the recipe of an output; tools are part ' +
        'of it. Null outside a batch.',
      z.string().nullable(),
    ),
    file: field(
      'The file that was measured, as it was from the first byte read to the last.',
      z.object({
        path: field('Its path.', z.string()),
        bytes: field('Its size in bytes.', count),
        modified: field('Time of its last change, ISO 8601.', z.string()),
        digest: field(
          'SHA-256 of its size and of 16 pieces of 64 KiB spread over it, 64 hex digits: all of a file up to 1 MiB.',
          z.string(),
        ),
      }),
    ),
    container: field(
      'What the container says of the whole file.',
      z.object({
        format: field("ffprobe's demuxer name list, e.g. `mov,mp4,m4a,3gp,3g2,mj2`.", z.string()),
        durationSeconds: field('Length of the file, seconds.', z.number().nullable()),
        startTimecode: field(
          'Timecode of the first frame; null where none is stated.',
          z.string().nullable(),
        ),
        reel: field('Name of the reel; null where none is stated.', z.string().nullable()),
        chapters,
        tags,
      }),
    ),
    video: field('The picture; null for a file without one.', video.nullable()),
    levels: field(
      'Levels of the signal; null where the picture was not measured.',
      measuredLevels.nullable(),
    ),
    luminance: field(
      'Light; null where the picture is not known to be PQ or HLG.',
      measuredLuminance.nullable(),
    ),
    temporal: field('What the picture does over time.', measuredTemporal.nullable()),
    fields: field('Scan and cadence as the moving picture shows them.', measuredFields.nullable()),
    effective: field(
      'What of the raster the picture really uses; depth and chroma stand in `video`. Null where its ' +
        'detail was not looked at.',
      measuredEffective.nullable(),
    ),
    flashes: field(
      'Screening for flashes that can harm; null where the picture is none a display shows as it is.',
      flashes.nullable(),
    ),
    hdr: field('HDR metadata the file declares for its whole length.', hdrStaticMetadata),
    ...containerFigures.shape,
    histograms: field('Samples by code over the whole file.', histograms.nullable()),
    curves: field('Figures over time.', curves),
    exposure: field(
      'Exposure of a camera log clip; null for any other picture.',
      measuredExposure.nullable(),
    ),
    audio: field('The sound, stream by stream.', z.array(audioMeasurement)),
    otherStreams: field('Streams that are neither the picture nor sound.', z.array(otherStream).default([])),
    events: field('What was noticed, and where.', z.array(measuredEvent)),
    decode: field(
      'How decoding went.',
      z.object({
        errors: field('Errors of the decoder.', count),
        messages: field('The first messages of the decoder, as it gave them.', z.array(z.string())),
        truncated: field(
          'True when fewer frames or samples came out than the container promises, or the file ends ' +
            'inside a packet.',
          z.boolean(),
        ),
        endStated: field(
          'Whether the file says how much it holds or where it ends, so that a cut shows. False of transport ' +
            'streams, raw streams, live recordings and the like: cut short they look whole.',
          z.boolean(),
        ),
      }),
    ),
    unmeasured: field(
      'What could not be measured, and why.',
      z.array(
        z.object({
          what: field('The figure, by its place in this document.', z.string()),
          why: field('Why it could not be measured.', z.string()),
        }),
      ),
    ),
    method: field(
      'How the figures were made.',
      z.object({
        ffmpeg: field('Version of ffmpeg.', z.string()),
        goodgate: field('Version of goodgate.', z.string()),
        standards: field('Standards that were followed, with their editions.', z.array(z.string())),
      }),
    ),
  })
  .describe(
    'What was measured of one file; no opinion in it. Every key is always there, null where it does ' +
      'not apply or could not be measured; `unmeasured` then says why.',
  );
export type Measurement = z.infer<typeof measurement>;

/** What was measured, before it is said of which very file. */
export type MeasuredFigures = Omit<Measurement, 'schema' | 'key' | 'file'>;

/** The measurement of a file with these figures. */
export function measurementOf(
  file: Measurement['file'],
  key: Measurement['key'],
  figures: MeasuredFigures,
): Measurement {
  return { schema: 'goodgate/measurement@1', key, file, ...figures };
}
