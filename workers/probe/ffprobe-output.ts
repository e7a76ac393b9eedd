import { z } from 'zod';
import { formatRational, parseRational } from '../../signal/rational.js';

/**
 * ffprobe's JSON, as far as it is read here. Numbers come as text in most fields; `N/A` and absence mean the
 * same.
 */
const integerText = z.union([z.number(), z.string()]).transform((value) => {
  const number = Number(value);
  return Number.isSafeInteger(number) ? number : null;
});
const decimalText = z.union([z.number(), z.string()]).transform((value) => {
  const number = Number(value);
  return value === '' || !Number.isFinite(number) ? null : number;
});
const tags = z.record(z.string(), z.coerce.string()).default({});
const flag = z.union([z.number(), z.string()]).transform((value) => Number(value) === 1);

/** Side data is many things; each reader picks the kind it knows. */
export const sideData = z.looseObject({ side_data_type: z.string().optional() });
export type SideData = z.infer<typeof sideData>;

export const probedColour = z.object({
  color_range: z.string().optional(),
  color_space: z.string().optional(),
  color_transfer: z.string().optional(),
  color_primaries: z.string().optional(),
});
export type ProbedColour = z.infer<typeof probedColour>;

export const probedStream = probedColour.extend({
  index: z.number().int().nonnegative(),
  id: z.string().optional(),
  codec_type: z.string().optional(),
  codec_name: z.string().optional(),
  codec_tag_string: z.string().optional(),
  profile: z.coerce.string().optional(),
  level: z.number().optional(),
  width: z.number().optional(),
  height: z.number().optional(),
  pix_fmt: z.string().optional(),
  sample_aspect_ratio: z.string().optional(),
  display_aspect_ratio: z.string().optional(),
  chroma_location: z.string().optional(),
  field_order: z.string().optional(),
  r_frame_rate: z.string().optional(),
  avg_frame_rate: z.string().optional(),
  time_base: z.string().optional(),
  duration_ts: integerText.optional(),
  start_time: decimalText.optional(),
  duration: decimalText.optional(),
  nb_frames: integerText.optional(),
  nb_read_packets: integerText.optional(),
  bits_per_raw_sample: integerText.optional(),
  bits_per_sample: integerText.optional(),
  sample_rate: integerText.optional(),
  channels: z.number().optional(),
  channel_layout: z.string().optional(),
  closed_captions: flag.optional(),
  disposition: z.object({ attached_pic: flag.optional(), default: flag.optional() }).optional(),
  tags,
  side_data_list: z.array(sideData).default([]),
});
export type ProbedStream = z.infer<typeof probedStream>;

export const probedFile = z.object({
  streams: z.array(probedStream).default([]),
  chapters: z.array(z.looseObject({})).default([]),
  format: z
    .object({
      format_name: z.string().default('unknown'),
      duration: decimalText.optional(),
      start_time: decimalText.optional(),
      tags,
    })
    .optional(),
});
export type ProbedFile = z.infer<typeof probedFile>;

export const probedFrame = z.object({
  best_effort_timestamp: integerText.optional(),
  width: z.number().optional(),
  height: z.number().optional(),
  pix_fmt: z.string().optional(),
  interlaced_frame: flag.optional(),
  top_field_first: flag.optional(),
  side_data_list: z.array(sideData).default([]),
});
export type ProbedFrame = z.infer<typeof probedFrame>;
export const probedFrames = z.object({ frames: z.array(probedFrame).default([]) });

export const probedPackets = z.object({
  packets: z.array(z.object({ pts: integerText.optional(), flags: z.string().default('') })).default([]),
});

/** A word of ffprobe's, or null for those by which it says that it does not know. */
export function known(value: string | undefined): string | null {
  return value === undefined || SILENT.has(value) ? null : value;
}

/** -99: it knows no profile, or knows this one by no name. */
const SILENT: ReadonlySet<string> = new Set(['unspecified', 'unknown', 'N/A', '-99']);

/** A ratio as every document writes it; null for `0:1` and `N/A`. */
export function knownAspect(text: string | undefined): string | null {
  const value = text === undefined ? null : parseRational(text);
  return value === null || value.num === 0 ? null : formatRational(value);
}
