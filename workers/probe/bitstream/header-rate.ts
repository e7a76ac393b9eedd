import type { Layer } from '../../../jobs/measurement/measured-container.js';
import { formatRational, type Rational, rational } from '../../../signal/rational.js';

/**
 * frame_rate_code of MPEG-2 (ITU-T H.262, table 6-4; from memory, checked by encoded files in the tests).
 */
const MPEG2_RATES: Readonly<Record<number, Rational>> = {
  1: rational(24_000, 1001),
  2: rational(24, 1),
  3: rational(25, 1),
  4: rational(30_000, 1001),
  5: rational(30, 1),
  6: rational(50, 1),
  7: rational(60_000, 1001),
  8: rational(60, 1),
};
/** Codecs whose headers, as printed by ffmpeg's `trace_headers`, have a frame rate. */
export const DECLARES_RATE: ReadonlySet<string> = new Set(['h264', 'hevc', 'mpeg2video']);

/**
 * Frame rate from the sequence header of a stream, as ffmpeg's `trace_headers` prints it. H.264 and H.265
 * declare a clock tick, which is the frame rate only where it is declared as fixed (ITU-T H.264, E.2.1;
 * H.265, E.3.1: clauses from memory); for H.265 that flag is not read, and its rate never counts as fixed.
 */
export function readHeaderRate(codec: string): { line(text: string): void; result(): Layer['frameRate'] } {
  const fields = new Map<string, number>();
  const field = (name: string): number => fields.get(name) ?? 0;
  const declaredRate = ({ num, den }: Rational, fixed: boolean): Layer['frameRate'] =>
    num > 0 && den > 0 ? { rate: formatRational(rational(num, den)), fixed } : null;
  return {
    line(text) {
      const match = /\] \d+ +(\w+) +[01]+ = (\d+)$/.exec(text);
      if (match?.[1] !== undefined && !fields.has(match[1])) fields.set(match[1], Number(match[2]));
    },
    result() {
      if (codec === 'h264') {
        // A tick is a field: two per frame, in progressive pictures too.
        const frame = { num: field('time_scale'), den: 2 * field('num_units_in_tick') };
        return declaredRate(frame, field('fixed_frame_rate_flag') === 1);
      }
      if (codec === 'hevc') {
        const pictures = field('field_seq_flag') === 1 ? 2 : 1;
        return declaredRate(
          { num: field('vui_time_scale'), den: pictures * field('vui_num_units_in_tick') },
          false,
        );
      }
      const coded = codec === 'mpeg2video' ? MPEG2_RATES[field('frame_rate_code')] : undefined;
      if (coded === undefined) return null;
      const num = coded.num * (field('frame_rate_extension_n') + 1);
      return declaredRate({ num, den: coded.den * (field('frame_rate_extension_d') + 1) }, true);
    },
  };
}
