import { InvalidArgumentError } from 'commander';

/** A time of day, local. */
export interface TimeOfDay {
  readonly hours: number;
  readonly minutes: number;
}

/** @throws InvalidArgumentError for anything but a time such as 07:00 */
export function parseTimeOfDay(text: string): TimeOfDay {
  const [, hours = '', minutes = ''] = /^([01]?\d|2[0-3]):([0-5]\d)$/.exec(text) ?? [];
  if (hours === '') throw new InvalidArgumentError('A local time such as 07:00 is needed.');
  return { hours: Number(hours), minutes: Number(minutes) };
}

/**
 * When it is that time next, by the local clock. On a night on which clocks are put forward a time that is
 * left out counts as the one an hour later that takes its place; where clocks are put back, one that comes
 * twice counts as its first coming, unless that is over. Pure but for the time zone of the process.
 */
export function nextTime({ hours, minutes }: TimeOfDay, now: Date): Date {
  for (let day = 0; ; day++) {
    const at = new Date(now.getFullYear(), now.getMonth(), now.getDate() + day, hours, minutes);
    if (at > now) return at;
    const again = secondComing(at);
    if (again !== null && again > now) return again;
  }
}

/** The same local time once more, on the night on which clocks are put back; null on any other. */
function secondComing(at: Date): Date | null {
  const later = new Date(at.getTime() + 3_600_000);
  return later.getHours() === at.getHours() && later.getMinutes() === at.getMinutes() ? later : null;
}
