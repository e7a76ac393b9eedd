import { createFile, MP4BoxBuffer } from 'mp4box';
import { z } from 'zod';
import type { Box } from './walk-boxes.js';

const number = z.number();
const point = z.object({ x: number, y: number });

/** Fields of small boxes, by the names of the library. */
const elst = z.object({
  entries: z.array(
    z.object({
      segment_duration: number,
      media_time: number,
      media_rate_integer: number,
      media_rate_fraction: number,
    }),
  ),
});
const mdhd = z.object({ version: number, timescale: number, duration: number });
const mvhd = z.object({ timescale: number, duration: number });
const hdlr = z.object({ handler: z.string() });
const pasp = z.object({ hSpacing: number, vSpacing: number });
const fiel = z.object({ fieldCount: number, fieldOrdering: number });
const clap = z.object({
  cleanApertureWidthN: number,
  cleanApertureWidthD: number,
  cleanApertureHeightN: number,
  cleanApertureHeightD: number,
});
const colr = z.object({
  colour_type: z.string(),
  colour_primaries: number.optional(),
  transfer_characteristics: number.optional(),
  matrix_coefficients: number.optional(),
  full_range_flag: number.optional(),
});
const mdcv = z.object({
  display_primaries: z.tuple([point, point, point]),
  white_point: point,
  max_display_mastering_luminance: number,
  min_display_mastering_luminance: number,
});
const clli = z.object({ max_content_light_level: number, max_pic_average_light_level: number });
const avcC = z.object({
  AVCProfileIndication: number,
  profile_compatibility: number,
  AVCLevelIndication: number,
});
const hvcC = z.object({ general_profile_idc: number, general_level_idc: number });

const LEAVES = { elst, mdhd, mvhd, hdlr, pasp, fiel, clap, colr, mdcv, clli, avcC, hvcC };
export type LeafName = keyof typeof LEAVES;
export type Leaf<N extends LeafName> = z.output<(typeof LEAVES)[N]>;

/** A box of these kinds has tens of bytes, with parameter sets or long edit lists a few thousand. */
const MOST_BYTES = 1024 * 1024;

/**
 * One small box, parsed by the library. It gets this box alone, as if it were a whole file: otherwise the
 * library would read the sample tables and make an object of every sample (a two-hour PCM track has 345
 * million), and it does not know the sample entries of QuickTime. Null for a box that does not parse.
 */
export function leaf<N extends LeafName>(name: N, data: Buffer, box: Box | null): Leaf<N> | null {
  if (box === null || box.type !== name) return null;
  const length = box.end - box.body;
  if (length > MOST_BYTES) return null;
  const alone = new ArrayBuffer(8 + length);
  const bytes = Buffer.from(alone);
  bytes.writeUInt32BE(8 + length, 0);
  bytes.write(name, 4, 'latin1');
  data.copy(bytes, 8, box.body, box.end);
  try {
    const file = createFile();
    file.appendBuffer(MP4BoxBuffer.fromArrayBuffer(alone, 0), true);
    // The schema is that of `name`, and so is its output type.
    const parsed = LEAVES[name].safeParse(file.boxes[0]);
    return parsed.success ? (parsed.data as Leaf<N>) : null;
  } catch {
    // The library reads past the end of a box that is shorter than declared.
    return null;
  }
}
