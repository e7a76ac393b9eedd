import { z } from 'zod';
import { chromaName, colourTags, hdrStaticMetadata, rationalText, scanName } from './colour.js';
import { type FrameRange, frameRange } from './frame-range.js';
import { containerFigures } from './measured-container.js';
import { curves } from './measured-curves.js';
import { measuredEffective } from './measured-effective.js';
import { measuredFields } from './measured-fields.js';
import { flashes } from './measured-flashes.js';
import { histograms } from './measured-histograms.js';
import { codedLoudness, soundContent } from './measured-sound.js';
import { measuredTemporal } from './measured-temporal.js';

const confidence = z.enum(['high', 'low']);
const count = z.number().int().nonnegative();
const fraction = z.number().min(0).max(1);

/** Code values at the declared depth, and the same in percent of the narrow range (100 % is nominal white). */
const extremes = z.object({
  min: z.number(),
  max: z.number(),
  percentMin: z.number(),
  percentMax: z.number(),
});

export { type FrameRange, frameRange };

export const measuredEvent = frameRange.extend({
  /** `truncated`, `format-change`, `timestamp-gap`, `out-of-range`, `over-mastering-peak`, ... */
  kind: z.string(),
  detail: z.string(),
});
export type MeasuredEvent = z.infer<typeof measuredEvent>;

export const audioMeasurement = z.object({
  stream: count,
  codec: z.string(),
  channels: z.number().int().positive(),
  layout: z.string().nullable(),
  sampleRate: z.number().int().positive(),
  bitDepth: z.number().int().positive().nullable(),
  /** Samples per channel that were decoded. */
  samples: count,
  durationSeconds: z.number().nonnegative(),
  /** BS.1770-5 gated loudness; null when nothing passes the gate (silence). */
  integratedLufs: z.number().nullable(),
  loudnessRange: z.number().nullable(),
  maxMomentaryLufs: z.number().nullable(),
  maxShortTermLufs: z.number().nullable(),
  /** Null when every sample is zero. */
  truePeakDbtp: z.number().nullable(),
  samplePeakDbfs: z.number().nullable(),
  /** First sample after the first picture, seconds; null where it is not known, or there is no picture. */
  startSeconds: z.number().nullable(),
  /** Null where the coding carries none that is read, or it could not be read. */
  codedLoudness: codedLoudness.nullable(),
  /** Channel by channel; null where the sound was not measured. */
  content: soundContent.nullable(),
});
export type AudioMeasurement = z.infer<typeof audioMeasurement>;

/**
 * What was measured of one file; no opinion in it. Every key is always there, null where it does not apply or
 * could not be measured; `unmeasured` then says why.
 */
export const measurement = z.object({
  schema: z.literal('goodgate/measurement@1'),
  file: z.object({ path: z.string(), bytes: count }),
  container: z.object({
    format: z.string(),
    durationSeconds: z.number().nullable(),
    startTimecode: z.string().nullable(),
    reel: z.string().nullable(),
  }),
  video: z
    .object({
      codec: z.string(),
      profile: z.string().nullable(),
      width: z.number().int(),
      height: z.number().int(),
      sampleAspect: rationalText.nullable(),
      frameRate: rationalText.nullable(),
      /** From the time stamps of every decoded frame. */
      constantRate: z.boolean().nullable(),
      /** Declared scan, container and bitstream. */
      scan: scanName.nullable(),
      /** Frames decoded. */
      frames: count,
      /** Frames the container declares. */
      framesDeclared: count.nullable(),
      durationSeconds: z.number(),
      pixelFormat: z.string(),
      bitDepth: z.object({ declared: z.number().int(), effective: z.number().int().nullable(), confidence }),
      chroma: z.object({ declared: chromaName.nullable(), effective: chromaName.nullable(), confidence }),
      colour: colourTags,
      colourByLayer: z.object({ container: colourTags.nullable(), bitstream: colourTags.nullable() }),
      rotation: z.number(),
      mirrored: z.boolean().default(false),
    })
    .nullable(),
  levels: z
    .object({
      luma: extremes.nullable(),
      /** R'G'B' after the matrix, over all three. */
      rgb: extremes.nullable(),
      /** Codes of Y' (of G' in RGB pictures) at or below which this share of the samples lies. */
      percentiles: z.object({
        p01: z.number(),
        p1: z.number(),
        p50: z.number(),
        p99: z.number(),
        p999: z.number(),
      }),
      gamutError: z.object({
        /** Frame with the largest area outside the R 103 tolerance, after its filter; null when no frame has any. */
        worstFrame: count.nullable(),
        worstArea: fraction,
        /** Frames with more than 1 % of the area outside. */
        framesOver: count,
        ranges: z.array(frameRange),
      }),
      /** Samples at codes SDI reserves, over the whole file. */
      reservedCodes: z.object({ samples: count, firstFrame: count.nullable() }),
      /** True: the picture uses codes as full range does; false: as narrow does; null: too little tone to tell. */
      looksFullRange: z.boolean().nullable(),
    })
    .nullable(),
  luminance: z
    .object({
      /** CTA-861.3, cd/m2, from max(R,G,B) of every pixel. */
      maxCll: z.number(),
      maxCllFrame: count,
      maxFall: z.number(),
      maxFallFrame: count,
      /**
       * MaxFALL with bars left out: the light of the active picture alone. Null where nothing could tell where the picture ends; equal to
       * `maxFall` where there are no bars.
       */
      activeMaxFall: z.object({ nits: z.number(), frame: count }).nullable(),
      /** Frames with light above the declared peak of the mastering display; null where none is declared. */
      overMastering: z.object({ frames: count, ranges: z.array(frameRange) }).nullable(),
      /** 99.99 percentile of max(R,G,B) over all pixels of the file, cd/m2. */
      p9999: z.number(),
      /** HLG is relative: the peak of the display it was evaluated for. Null for PQ. */
      displayPeak: z.number().nullable(),
      declared: z.object({
        maxCll: z.number().nullable(),
        maxFall: z.number().nullable(),
        masteringMin: z.number().nullable(),
        masteringMax: z.number().nullable(),
      }),
      outsideP3: z.object({ worstFrame: count.nullable(), worstArea: fraction }).nullable(),
    })
    .nullable(),
  /** What the picture does over time. */
  temporal: measuredTemporal.nullable(),
  /** Scan and cadence as the moving picture shows them. */
  fields: measuredFields.nullable(),
  /** What of the raster the picture really uses; depth and chroma stand in `video`. Null where its detail was not looked at. */
  effective: measuredEffective.nullable(),
  /** Screening for flashes that can harm; null where the picture is none a display shows as it is. */
  flashes: flashes.nullable(),
  hdr: hdrStaticMetadata,
  ...containerFigures.shape,
  /** Samples by code over the whole file. */
  histograms: histograms.nullable(),
  /** Figures over time. */
  curves,
  exposure: z
    .object({
      medianStops: z.number(),
      /** Stops from 18 % grey below which this share of the pixels lies. */
      percentileStops: z.object({ p1: z.number(), p10: z.number(), p90: z.number(), p99: z.number() }),
      clippedArea: fraction,
      noiseFloorArea: fraction,
      /** One sentence; advice, no verdict. */
      advice: z.string(),
    })
    .nullable(),
  audio: z.array(audioMeasurement),
  events: z.array(measuredEvent),
  decode: z.object({
    errors: count,
    /** The first messages of the decoder, as it gave them. */
    messages: z.array(z.string()),
    /** True when fewer frames or samples came out than the container promises, or the file ends inside a packet. */
    truncated: z.boolean(),
  }),
  /** What could not be measured, and why. */
  unmeasured: z.array(z.object({ what: z.string(), why: z.string() })),
  /** How the figures were made: tools and editions. */
  method: z.object({ ffmpeg: z.string(), goodgate: z.string(), standards: z.array(z.string()) }),
});
export type Measurement = z.infer<typeof measurement>;
