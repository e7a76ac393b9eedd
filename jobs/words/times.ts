import { fixed } from './numbers.js';

/**
 * A duration: `2.400 s`, `59.9 s`, `3 min 20 s`, `1 h 2 min 3 s`. A value that rounds up to a minute is
 * written as one: 59.96 s is `1 min 0 s`. Durations that are compared are given in seconds (quantity).
 */
export function duration(seconds: number): string {
  if (seconds < 0) return `-${duration(-seconds)}`;
  if (!Number.isFinite(seconds)) return `${fixed(seconds, 0)} s`;
  const fine = fixed(seconds, 3);
  if (Number(fine) < 10) return `${fine} s`;
  const tenths = fixed(seconds, 1);
  return Number(tenths) < 60 ? `${tenths} s` : parts(Math.round(seconds)).join(' ');
}

/** An estimated or remaining time, rounded: `45 s`, `3 min 20 s`, `2 h 5 min`. */
export function estimate(seconds: number): string {
  return parts(Math.max(0, Math.round(seconds)))
    .slice(0, 2)
    .join(' ');
}

function parts(seconds: number): string[] {
  const [h, min, s] = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60, seconds % 60];
  if (h > 0) return [`${h} h`, `${min} min`, `${s} s`];
  return min > 0 ? [`${min} min`, `${s} s`] : [`${s} s`];
}

/**
 * By the clock of this place, with its zone: `2026-11-25 21:04 UTC+1`; text that is no time is returned as it
 * is.
 */
export function moment(iso: string): string {
  const time = new Date(iso);
  if (Number.isNaN(time.getTime())) return iso;
  const minutes = -time.getTimezoneOffset();
  const local = new Date(time.getTime() + minutes * 60_000).toISOString().slice(0, 16).replace('T', ' ');
  return `${local} ${zoneName(minutes)}`;
}

/** @param minutes how far the clock of a place is ahead of UTC */
function zoneName(minutes: number): string {
  if (minutes === 0) return 'UTC';
  const [hours, rest] = [Math.floor(Math.abs(minutes) / 60), Math.abs(minutes) % 60];
  return `UTC${minutes < 0 ? '-' : '+'}${hours}${rest === 0 ? '' : `:${String(rest).padStart(2, '0')}`}`;
}
