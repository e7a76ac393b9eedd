import type { FrameRange } from '../../../jobs/measurement/frame-range.js';

/** One figure in words. Text from the file (codec names, reels) stands in it as it is: whoever shows it makes it harmless. */
export type Row = readonly [label: string, value: string];

export interface RowGroup {
  readonly title: string;
  readonly rows: readonly Row[];
}

export function fixed(value: number, digits: number): string {
  const text = value.toFixed(digits);
  // A rounded nothing has no sign.
  return Number(text) === 0 ? text.replace('-', '') : text;
}

/** A figure with its unit; `none` where the measurement found nothing to measure, as in silence. */
export function figure(value: number | null, digits: number, unit: string): string {
  return value === null ? 'none' : `${fixed(value, digits)} ${unit}`;
}

export function signed(value: number, digits: number): string {
  const text = fixed(value, digits);
  return value >= 0 ? `+${text}` : text;
}

export function percentText(fraction: number): string {
  const percent = fraction * 100;
  if (percent > 0 && percent < 0.01) return 'under 0.01 %';
  return `${percent.toFixed(percent >= 10 ? 1 : 2)} %`;
}

export function countOf(count: number, one: string, many = `${one}s`): string {
  return `${count.toLocaleString('en')} ${count === 1 ? one : many}`;
}

export function secondsText(seconds: number): string {
  return `${fixed(seconds, Math.abs(seconds) < 10 ? 3 : 1)} s`;
}

export function startOf({ from, fromTimecode }: Pick<FrameRange, 'from' | 'fromTimecode'>): string {
  return fromTimecode === null ? `frame ${from}` : `${fromTimecode} (frame ${from})`;
}

/** `, first at 10:00:01:05 (frame 30)`; nothing where there is no place. */
export function firstPlace(ranges: readonly FrameRange[]): string {
  const [first] = ranges;
  return first === undefined ? '' : `, first at ${startOf(first)}`;
}

/** `none`, or how many frames in how many places, and the first of them. */
export function placesText(
  found: { readonly places: number; readonly frames?: number; readonly ranges: readonly FrameRange[] },
  what = 'place',
): string {
  if (found.places === 0) return 'none';
  const frames = found.frames === undefined ? '' : `${countOf(found.frames, 'frame')} in `;
  return `${frames}${countOf(found.places, what)}${firstPlace(found.ranges)}`;
}

export function sureness(confidence: 'high' | 'low'): string {
  return confidence === 'high' ? '' : ' (not for sure)';
}
