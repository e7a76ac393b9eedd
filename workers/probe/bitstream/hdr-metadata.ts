import { z } from 'zod';
import type { HdrStaticMetadata } from '../../../jobs/manifest/colour.js';
import { parseRational, toNumber } from '../../../signal/rational.js';
import type { SideData } from '../ffprobe-output.js';

const ratio = z.string().transform((text, context) => {
  const value = parseRational(text);
  if (value !== null) return toNumber(value);
  context.addIssue({ code: 'custom', message: 'not a ratio' });
  return z.NEVER;
});

const masteringDisplay = z.object({
  side_data_type: z.literal('Mastering display metadata'),
  red_x: ratio,
  red_y: ratio,
  green_x: ratio,
  green_y: ratio,
  blue_x: ratio,
  blue_y: ratio,
  white_point_x: ratio,
  white_point_y: ratio,
  min_luminance: ratio,
  max_luminance: ratio,
});
const contentLight = z.object({
  side_data_type: z.literal('Content light level metadata'),
  max_content: z.number().nonnegative(),
  max_average: z.number().nonnegative(),
});

/** ST 2086 and CTA-861.3 metadata among side data of a stream or of a frame. cd/m2; CIE xy. */
export function hdrOf(sideData: readonly SideData[]): HdrStaticMetadata {
  const mastering = firstOf(masteringDisplay, sideData);
  const light = firstOf(contentLight, sideData);
  return {
    mastering: mastering && {
      red: [mastering.red_x, mastering.red_y],
      green: [mastering.green_x, mastering.green_y],
      blue: [mastering.blue_x, mastering.blue_y],
      white: [mastering.white_point_x, mastering.white_point_y],
      minLuminance: mastering.min_luminance,
      maxLuminance: mastering.max_luminance,
    },
    lightLevel: light && { maxCll: light.max_content, maxFall: light.max_average },
  };
}

function firstOf<T extends z.ZodType>(schema: T, sideData: readonly SideData[]): z.output<T> | null {
  for (const item of sideData) {
    const parsed = schema.safeParse(item);
    if (parsed.success) return parsed.data;
  }
  return null;
}

export interface HdrFacts {
  readonly hdr: HdrStaticMetadata;
  readonly notes: readonly string[];
}

/**
 * Joins the metadata of the container, of the first frame and of the bitstream. Where container and picture
 * differ, displays follow the picture.
 */
export function hdrFacts(
  container: readonly SideData[],
  frame: readonly SideData[],
  bitstream: HdrStaticMetadata,
): HdrFacts {
  const outer = hdrOf(container);
  const decoded = hdrOf(frame);
  const inner = {
    mastering: decoded.mastering ?? bitstream.mastering,
    lightLevel: decoded.lightLevel ?? bitstream.lightLevel,
  };
  const notes: string[] = [];
  if (outer.mastering && inner.mastering && !same(outer.mastering, inner.mastering)) {
    notes.push('mastering display: container and frames differ; that of the frames is used');
  }
  if (outer.lightLevel && inner.lightLevel && !same(outer.lightLevel, inner.lightLevel)) {
    notes.push('light level: container and frames differ; that of the frames is used');
  }
  return {
    hdr: { mastering: inner.mastering ?? outer.mastering, lightLevel: inner.lightLevel ?? outer.lightLevel },
    notes,
  };
}

function same(a: object, b: object): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}
