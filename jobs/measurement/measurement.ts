import { z } from 'zod';
import { field } from '../documents/field.js';
import { listedHash } from '../hash-list/hash-format.js';
import { chromaName, hdrStaticMetadata, rationalText, scanName } from '../manifest/colour.js';
import { clipFacts, otherStream, slate, videoFacts } from '../manifest/facts.js';
import { type FrameRange, frameRange } from './frame-range.js';
import { frameOrder, pictureComparison, soundComparison } from './measured-comparison.js';
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
  detail: field('What was detected there, in words.', z.string()),
});
export type MeasuredEvent = z.infer<typeof measuredEvent>;

export const audioMeasurement = z.object({
  stream: field("ffmpeg's index of the stream within the file, from 0.", count),
  codec: field("Codec of the sound, by ffmpeg's name.", z.string()),
  channels: field('Number of channels.', z.number().int().positive()),
  layout: field('Channel layout as ffmpeg names it; null where none is declared.', z.string().nullable()),
  sampleRate: field('Sample rate, Hz.', z.number().int().positive()),
  bitDepth: field(
    'Bits of a sample, as declared; null where none are.',
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
    'Largest loudness of any 400 ms, LUFS; null in silence, or for less than one window.',
    z.number().nullable(),
  ),
  maxShortTermLufs: field(
    'Largest loudness of any 3 s, LUFS; null in silence, or for less than one window.',
    z.number().nullable(),
  ),
  truePeakDbtp: field(
    'True peak, dBTP (ITU-R BS.1770-5 Annex 2); null when every sample is zero.',
    z.number().nullable(),
  ),
  samplePeakDbfs: field('Highest sample, dBFS; null when every sample is zero.', z.number().nullable()),
  startSeconds: field(
    'Time from the first frame to the first decoded sample, seconds: below 0 also where the decoder gives ' +
      'lead-in that an edit list hides. Null where not known, or without a picture.',
    z.number().nullable(),
  ),
  codedLoudness: field(
    'The loudness the sound declares; null where the codec carries none that is read, or it ' +
      'could not be read.',
    codedLoudness.nullable(),
  ),
  content: field('Channel by channel; null where the sound was not measured.', soundContent.nullable()),
});
export type AudioMeasurement = z.infer<typeof audioMeasurement>;

/** Keys that a measurement shares with the facts have the same schema. */
const { codec, profile, pixelFormat, colour, colourByLayer, rotation, mirrored } = videoFacts.shape;
const { dynamicHdr, iccProfile, captions } = videoFacts.shape;
const { chapters, tags } = clipFacts.shape.container.shape;

const video = z.object({
  codec,
  profile,
  width: field('Width in pixels.', z.number().int()),
  height: field('Height in lines.', z.number().int()),
  sampleAspect: field(
    'Width to height of one pixel, as a rational; null where none is declared.',
    rationalText.nullable(),
  ),
  frameRate: field('Frames a second, as a rational.', rationalText.nullable()),
  constantRate: field(
    'Whether all frames have the same duration, by the time stamps of every decoded frame.',
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
      declared: field('What the file declares.', z.number().int()),
      effective: field('What its samples show; null where not known.', z.number().int().nullable()),
      confidence,
    }),
  ),
  chroma: field(
    'Chroma subsampling.',
    z.object({
      declared: field('What the file declares; null where it has no name.', chromaName.nullable()),
      effective: field('What its samples show; null where not known.', chromaName.nullable()),
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
      'Content hash of what was measured: of the clip and the colour it was read by, or of the recipe of an output; with ' +
        'tools and versions. Null outside a batch.',
      z.string().nullable(),
    ),
    file: field(
      'The file that was measured, which did not change while it was read.',
      z.object({
        path: field('Its path.', z.string()),
        bytes: field('Its size in bytes.', count),
        modified: field('Time of its last change, ISO 8601.', z.string()),
        changed: field(
          'When its bytes, its name or what else its file system keeps of it were last changed (ctime), ISO 8601; null in ' +
            'documents older than this key.',
          z.string().nullable().default(null),
        ),
        digest: field(
          'SHA-256 of its size and of 16 pieces of 64 KiB spread over it (of the whole file up to 1 MiB), 64 hex digits.',
          z.string(),
        ),
        hash: field(
          'Hash of every byte, of several files one after the other, taken while it was decoded: of originals. Null for ' +
            'outputs, and in older documents.',
          listedHash.nullable().default(null),
        ),
      }),
    ),
    container: field(
      'What the container declares for the whole file.',
      z.object({
        format: field("ffprobe's demuxer name list, e.g. `mov,mp4,m4a,3gp,3g2,mj2`.", z.string()),
        durationSeconds: field('Length of the file, seconds.', z.number().nullable()),
        startTimecode: field(
          'Timecode of the first frame; null where none is declared.',
          z.string().nullable(),
        ),
        reel: field('Name of the reel; null where none is declared.', z.string().nullable()),
        slate: field('Scene and take, where the file declares them.', slate.nullable().default(null)),
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
    temporal: field('The picture over time.', measuredTemporal.nullable()),
    fields: field('Scan and cadence as detected from motion.', measuredFields.nullable()),
    effective: field(
      'How much of the raster the picture really uses; for depth and chroma see `video`. Null where ' +
        'this was not measured.',
      measuredEffective.nullable(),
    ),
    flashes: field(
      'Screening for harmful flashes; null where the picture is not meant for display, such as camera log.',
      flashes.nullable(),
    ),
    comparison: field(
      'A copy compared with the original of the same job; null where that was not required or could not be done.',
      pictureComparison.nullable().default(null),
    ),
    frameOrder: field(
      'Every frame of a copy held against that of the original; null where that was not required or could not be done.',
      frameOrder.nullable().default(null),
    ),
    soundComparison: field(
      'The sound of a copy against that of the original, stream by stream; null where that was not required. What is ' +
        'missing in it has its reason in `unmeasured`.',
      z.array(soundComparison).nullable().default(null),
    ),
    hdr: field('HDR metadata declared for the whole file.', hdrStaticMetadata),
    ...containerFigures.shape,
    histograms: field('Samples by code over the whole file.', histograms.nullable()),
    curves: field('Figures over time.', curves),
    exposure: field(
      'Exposure of a camera log clip; null for any other picture.',
      measuredExposure.nullable(),
    ),
    audio: field('The sound, stream by stream.', z.array(audioMeasurement)),
    otherStreams: field('Streams that are neither the picture nor sound.', z.array(otherStream).default([])),
    events: field('What was detected, and where.', z.array(measuredEvent)),
    decode: field(
      'Result of decoding.',
      z.object({
        errors: field('Errors of the decoder.', count),
        messages: field('The first messages of the decoder, as they were.', z.array(z.string())),
        truncated: field(
          'Whether fewer frames or samples were decoded than the container declares, or the file ends ' +
            'inside a packet.',
          z.boolean(),
        ),
        endStated: field(
          'Whether the file declares its length or its end, so that a missing end is detected. False for transport ' +
            'streams, raw streams, live recordings and the like: cut short, they look complete.',
          z.boolean(),
        ),
      }),
    ),
    unmeasured: field(
      'What could not be measured, and why.',
      z.array(
        z.object({
          what: field('The figure, by its path in this document.', z.string()),
          why: field('Why it could not be measured.', z.string()),
        }),
      ),
    ),
    method: field(
      'How the figures were measured.',
      z.object({
        ffmpeg: field('Version of ffmpeg.', z.string()),
        goodgate: field('Version of goodgate.', z.string()),
        standards: field('Standards that were followed, with their editions.', z.array(z.string())),
      }),
    ),
  })
  .describe(
    'What was measured of one file, without any judgement. Every key is always present, null where it ' +
      'does not apply or could not be measured; `unmeasured` then says why.',
  );
export type Measurement = z.infer<typeof measurement>;

/** The figures, without the file they belong to. */
export type MeasuredFigures = Omit<Measurement, 'schema' | 'key' | 'file'>;

/** The measurement of a file with these figures. `hash`: absent where it was not taken. */
export function measurementOf(
  file: Omit<Measurement['file'], 'hash'> & Partial<Pick<Measurement['file'], 'hash'>>,
  key: Measurement['key'],
  figures: MeasuredFigures,
): Measurement {
  return { schema: 'goodgate/measurement@1', key, file: { hash: null, ...file }, ...figures };
}
