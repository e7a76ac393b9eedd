import type { Plan } from '../../jobs/plan/plan.js';
import { count, firstOf } from '../../jobs/words/numbers.js';
import { visible } from '../../jobs/words/plain-text.js';
import { bytes } from '../../jobs/words/quantities.js';
import { estimate, moment } from '../../jobs/words/times.js';
import { type FitBy, fitBy } from './fit-by.js';
import { nextTime, type TimeOfDay } from './next-time.js';
import { type PlannedRoom, planRoom, shortfalls } from './plan-room.js';

/** Whether a plan fits the disks, and the hour where one was named. */
export interface Outlook {
  readonly room: readonly PlannedRoom[];
  readonly by: (FitBy & { readonly at: string; readonly secondsLeft: number }) | null;
}

export async function planOutlook(plan: Plan, by: TimeOfDay | undefined, now: Date): Promise<Outlook> {
  const room = await planRoom(plan);
  if (by === undefined) return { room, by: null };
  const at = nextTime(by, now);
  const secondsLeft = (at.getTime() - now.getTime()) / 1000;
  return { room, by: { ...fitBy(plan, secondsLeft), at: at.toISOString(), secondsLeft } };
}

/** What does not fit, in sentences; none: all does. Pure. */
export function misfits({ room, by }: Outlook): string[] {
  return [...shortfalls(room), ...(by === null || by.fits ? [] : [lateness(by)])];
}

function lateness({ at, seconds, secondsLeft, late, without }: NonNullable<Outlook['by']>): string {
  const what = `by ${moment(at)}, in ${estimate(secondsLeft)}, not all is done: it takes about ${estimate(seconds)}`;
  const who = `${count(late.length, 'clip')} would be late: ${firstOf(late, 3)}`;
  return `${what}; ${who}${without === null ? '' : `; without ${without} all would be done`}`;
}

/** What is to be told of a plan that fits, a line each. Pure. */
export function outlookLines(plan: Plan, { room, by }: Outlook): string[] {
  const fits = room.filter(({ short }) => short === 0);
  return [
    ...experienceLines(plan),
    ...fits.map(({ folder, free }) => `room: ${bytes(free)} free in ${visible(folder)}, enough`),
    ...(by?.fits ? [`by ${moment(by.at)}, in ${estimate(by.secondsLeft)}, all is done`] : []),
  ];
}

/** Which figures finished clips stand behind, and how many at least. */
function experienceLines({ jobs }: Plan): string[] {
  const outputs = jobs.flatMap((job) => job.outputs.map(({ estimate: { by } }) => by));
  const times = jobs.map(({ estimate: { by } }) => by);
  return [told('sizes', outputs), told('times', times)].flatMap((line) => line ?? []);
}

function told(what: string, all: readonly (number | undefined)[]): string | null {
  const known = all.flatMap((by) => by ?? []);
  if (known.length === 0) return all.length === 0 ? null : `${what}: by the figures of the codecs`;
  const fewest = known.reduce((least, by) => Math.min(least, by));
  const least = `at least ${count(fewest, 'finished clip')} of a kind`;
  const rest = known.length === all.length ? '' : '; the others by the figures of the codecs';
  return `${what}: ${known.length} of ${all.length} by ${least}${rest}`;
}
