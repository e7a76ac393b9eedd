import { z } from 'zod';
import { field } from '../documents/field.js';
import { transferName } from '../manifest/colour.js';
import { frameRange } from './frame-range.js';

const count = z.number().int().nonnegative();
const fraction = z.number().min(0).max(1);
const nits = z.number();
const ranges = z.array(frameRange);

const extremes = z.object({
  min: field('Lowest code value, at the declared depth.', z.number()),
  max: field('Highest code value, at the declared depth.', z.number()),
  percentMin: field('The lowest in percent of the nominal range: 0 is black, 100 white.', z.number()),
  percentMax: field('The highest in percent of the nominal range: 0 is black, 100 white.', z.number()),
});

/** The signal, in code values. */
export const measuredLevels = z.object({
  luma: field("Y': lowest and highest; null for RGB.", extremes.nullable()),
  rgb: field(
    "R'G'B' after the matrix, over all three; null where the matrix is not known.",
    extremes.nullable(),
  ),
  percentiles: field(
    "Codes of Y' (of G' in RGB pictures) at or below which this share of the samples lies.",
    z.object({
      p01: field('Share of 0.1 %.', z.number()),
      p1: field('Share of 1 %.', z.number()),
      p50: field('Share of 50 %.', z.number()),
      p99: field('Share of 99 %.', z.number()),
      p999: field('Share of 99.9 %.', z.number()),
    }),
  ),
  gamutError: field(
    'Area of the picture outside the tolerance of EBU R 103, after its filter.',
    z.object({
      worstFrame: field('Frame with the largest such area; null when no frame has any.', count.nullable()),
      worstArea: field('Area in it, as a fraction of the picture.', fraction),
      framesOver: field('Frames with more than 1 % of the area outside.', count),
      ranges: field('Where those are.', ranges),
    }),
  ),
  reservedCodes: field(
    'Codes SDI reserves, over the whole file.',
    z.object({
      samples: field('Samples at these codes.', count),
      firstFrame: field('The first frame with one; null where there is none.', count.nullable()),
    }),
  ),
  looksFullRange: field(
    'True: the picture uses codes as full range does; false: as narrow does; null: too little tone to tell.',
    z.boolean().nullable(),
  ),
});

/** Light of a PQ or HLG picture, as a display shows it. */
export const measuredLuminance = z.object({
  maxCll: field('MaxCLL, the brightest pixel of all, cd/m² of max(R,G,B) (CTA-861.3).', nits),
  maxCllFrame: field('The frame it is in.', count),
  maxFall: field('MaxFALL, the highest average of a frame, cd/m² of max(R,G,B) (CTA-861.3).', nits),
  maxFallFrame: field('The frame it is of.', count),
  activeMaxFall: field(
    'MaxFALL with bars left out: the light of the active picture alone. Null where nothing could ' +
      'tell where the picture ends; equal to `maxFall` where there are no bars.',
    z
      .object({
        nits: field('The highest average, cd/m².', nits),
        frame: field('The frame it is of.', count),
      })
      .nullable(),
  ),
  overMastering: field(
    'Light above the declared peak of the mastering display; null where none is declared.',
    z
      .object({
        frames: field('Frames with such light.', count),
        ranges: field('Where those are.', ranges),
      })
      .nullable(),
  ),
  p9999: field('99.99 percentile of max(R,G,B) over all pixels of the file, cd/m².', nits),
  displayPeak: field(
    'HLG is relative: the peak of the display it was evaluated for, cd/m². Null for PQ.',
    nits.nullable(),
  ),
  declared: field(
    'What the file declares, cd/m²; null where it does not.',
    z.object({
      maxCll: field('MaxCLL, cd/m².', nits.nullable()),
      maxFall: field('MaxFALL, cd/m².', nits.nullable()),
      masteringMin: field('Darkest level of the mastering display, cd/m².', nits.nullable()),
      masteringMax: field('Peak of the mastering display, cd/m².', nits.nullable()),
    }),
  ),
  outsideP3: field(
    'Colours outside P3-D65; null where the picture has not the primaries of BT.2020.',
    z
      .object({
        worstFrame: field(
          'Frame with the largest area of them; null when no frame has any.',
          count.nullable(),
        ),
        worstArea: field('Area in it, as a fraction of the picture.', fraction),
      })
      .nullable(),
  ),
});

/** Light of a camera log clip, as the scene had it. */
export const measuredExposure = z.object({
  transfer: field('The camera curve the picture was read by, which its tags may not say.', transferName),
  medianStops: field('Median of the pixels, stops from 18 % grey.', z.number()),
  percentileStops: field(
    'Stops from 18 % grey below which this share of the pixels lies.',
    z.object({
      p1: field('Share of 1 %.', z.number()),
      p10: field('Share of 10 %.', z.number()),
      p90: field('Share of 90 %.', z.number()),
      p99: field('Share of 99 %.', z.number()),
    }),
  ),
  clippedArea: field('Share of the pixels that are clipped, as a fraction.', fraction),
  noiseFloorArea: field('Share of the pixels at the noise floor, as a fraction.', fraction),
  advice: field('One sentence; advice, no verdict.', z.string()),
});
