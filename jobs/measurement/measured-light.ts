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
    "Codes of Y' (G' in RGB pictures) at or below which this share of the samples lies.",
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
      ranges: field('Where these frames are.', ranges),
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
    'Whether the codes of the picture look like full range; null: too few tones to tell.',
    z.boolean().nullable(),
  ),
});

/** Light of a PQ or HLG picture on a display. */
export const measuredLuminance = z.object({
  maxCll: field('MaxCLL, the brightest pixel, cd/m² of max(R,G,B) (CTA-861.3).', nits),
  maxCllFrame: field('The frame it is in.', count),
  maxFall: field('MaxFALL, the highest average of a frame, cd/m² of max(R,G,B) (CTA-861.3).', nits),
  maxFallFrame: field('The frame it is in.', count),
  activeMaxFall: field(
    'MaxFALL without bars: the light of the active picture alone. Null where the edges of the ' +
      'picture were not found; equal to `maxFall` where there are no bars.',
    z
      .object({
        nits: field('The highest average, cd/m².', nits),
        frame: field('The frame it is in.', count),
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
    'Peak of the display assumed for HLG, which is relative, cd/m². Null for PQ.',
    nits.nullable(),
  ),
  declared: field(
    'What the file declares, cd/m²; null where it declares nothing.',
    z.object({
      maxCll: field('MaxCLL, cd/m².', nits.nullable()),
      maxFall: field('MaxFALL, cd/m².', nits.nullable()),
      masteringMin: field('Darkest level of the mastering display, cd/m².', nits.nullable()),
      masteringMax: field('Peak of the mastering display, cd/m².', nits.nullable()),
    }),
  ),
  outsideP3: field(
    'Colours outside P3-D65; null where the picture does not have BT.2020 primaries.',
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

/** Scene light of a camera log clip. */
export const measuredExposure = z.object({
  transfer: field('The camera curve used to read the picture, which the tags may not declare.', transferName),
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
  advice: field('One sentence of advice; no verdict.', z.string()),
});
