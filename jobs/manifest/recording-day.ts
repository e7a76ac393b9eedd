import type { ClipFacts } from './facts.js';

type Recorded = Pick<ClipFacts['container'], 'tags'>;

const DAY_MS = 86_400_000;
/** A clock that was never set begins at 1904, 1970 or 1980. */
const FIRST_YEAR = 1990;

/**
 * The day of a recording: OriginationDate of Broadcast Wave (EBU Tech 3285), the creation time of a movie
 * (ISO/IEC 14496-12, UTC); null where neither is stated. Pure.
 */
export function recordingDay({ tags }: Recorded): string | null {
  const days = [tags.creation_time, tags.date].flatMap((text) => dayOf(text ?? '') ?? []);
  return days[0] ?? null;
}

/** Writers part a date by all signs that EBU Tech 3285 allows: `-`, `_`, `:`, a blank, `.`, and `/`. */
function dayOf(text: string): string | null {
  const [, year = '', month = '', day = ''] = /^(\d{4})[-_: ./](\d{2})[-_: ./](\d{2})(?!\d)/.exec(text) ?? [];
  const at = new Date(`${year}-${month}-${day}T00:00:00Z`);
  const isDay = Number(year) >= FIRST_YEAR && at.getUTCDate() === Number(day);
  return isDay ? `${year}-${month}-${day}` : null;
}

/**
 * In words that two recordings are more than a day apart; null where they are not, or where one states no
 * date. One date is in local time, the other in UTC: neighbouring days may be the same one.
 */
export function recordedDaysApart(sound: Recorded, picture: Recorded): string | null {
  const [one, other] = [recordingDay(sound), recordingDay(picture)];
  if (one === null || other === null) return null;
  if (Math.abs(Date.parse(one) - Date.parse(other)) <= DAY_MS) return null;
  return `it says that it was recorded on ${one}, the clip on ${other}`;
}
