import type { FrameRange } from '../../../jobs/measurement/measurement.js';

/** How figures are written in a report: units always beside them, a dash where there is nothing. */
export const NOTHING = '–';
/** A figure and its unit stay on one line. */
const NBSP = '\u00a0';

export function fixed(value: number | null | undefined, digits: number, unit = ''): string {
  if (value === null || value === undefined || !Number.isFinite(value)) return NOTHING;
  // U+2212: a hyphen is too short to be seen as a sign.
  const text = value.toFixed(digits).replace('-', '−');
  return unit === '' ? text : `${text}${NBSP}${unit}`;
}

export function percentOf(fraction: number | null | undefined): string {
  if (fraction === null || fraction === undefined) return NOTHING;
  const percent = fraction * 100;
  if (percent > 0 && percent < 0.01) return 'under 0.01 %';
  return fixed(percent, percent >= 10 ? 1 : 2, '%');
}

/** Decimal units, as disks and file managers of the trade count. */
export function bytes(value: number | null): string {
  if (value === null) return NOTHING;
  if (value < 1000) return `${value}${NBSP}B`;
  const units = ['kB', 'MB', 'GB', 'TB', 'PB'];
  let scaled = value;
  let unit = 'B';
  for (const next of units) {
    if (scaled < 1000) break;
    scaled /= 1000;
    unit = next;
  }
  return `${scaled.toFixed(scaled < 10 ? 2 : scaled < 100 ? 1 : 0)}${NBSP}${unit}`;
}

export function duration(seconds: number | null): string {
  if (seconds === null) return NOTHING;
  if (seconds < 60) return `${seconds.toFixed(seconds < 10 ? 2 : 1)}${NBSP}s`;
  const whole = Math.round(seconds);
  const parts = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60, whole % 60];
  const [h = 0, m = 0, s = 0] = parts;
  const padded = (value: number) => String(value).padStart(2, '0');
  return h > 0 ? `${h}:${padded(m)}:${padded(s)}${NBSP}h` : `${m}:${padded(s)}${NBSP}min`;
}

/** `2026-11-25 20:04 UTC`; what is no time is shown as it is. */
export function moment(iso: string | null): string {
  if (iso === null) return NOTHING;
  const time = new Date(iso);
  if (Number.isNaN(time.getTime())) return iso;
  return `${time.toISOString().slice(0, 16).replace('T', ' ')} UTC`;
}

/** A place in a file: timecodes where they are known, frames always. The last frame is named, not the one after. */
export function place(range: FrameRange): string {
  const last = Math.max(range.from, range.to - 1);
  if (last === range.from) {
    return range.fromTimecode === null
      ? `frame ${range.from}`
      : `${range.fromTimecode} (frame ${range.from})`;
  }
  const frames = `frames ${range.from} to ${last}`;
  if (range.fromTimecode === null || range.toTimecode === null) return frames;
  return `${range.fromTimecode} up to ${range.toTimecode} (${frames})`;
}

export function plural(count: number, one: string, many = `${one}s`): string {
  return `${count} ${count === 1 ? one : many}`;
}
