import { z } from 'zod';
import { formatRational, parseRational } from '../../signal/rational.js';

/**
 * The parts of ffprobe's JSON that are used. Most numbers are text; `N/A` means the same as absence.
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

/** There are many kinds of side data; each reader picks the one it knows. */
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
  extradata: z.string().optional(),
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
/** Asks for all of a `ProbedFile` but frames. */
export const SHOW_FILE = ['-show_format', '-show_streams', '-show_chapters'] as const;
/** Asks for what the container alone declares: ffprobe reads no stream, so that no decoder overwrites it. */
export const SHOW_CONTAINER = ['-nofind_stream_info', '-show_streams', '-show_data'] as const;

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

/** A name from ffprobe; null for those that mean "unknown". */
export function known(value: string | undefined): string | null {
  return value === undefined || SILENT.has(value) ? null : value;
}

/** -99: no profile, or one without a name. */
const SILENT: ReadonlySet<string> = new Set(['unspecified', 'unknown', 'N/A', '-99']);

/** A ratio in the form of our documents; null for `0:1` and `N/A`. */
export function knownAspect(text: string | undefined): string | null {
  const value = text === undefined ? null : parseRational(text);
  return value === null || value.num === 0 ? null : formatRational(value);
}
