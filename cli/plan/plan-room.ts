import { readdir, stat } from 'node:fs/promises';
import { basename, dirname } from 'node:path';
import type { Plan } from '../../jobs/plan/plan.js';
import { bytes } from '../../jobs/words/quantities.js';
import { below } from '../../workers/batch/folder.js';
import { roomIn } from '../../workers/batch/volumes.js';

/** One volume that a plan writes to, in bytes. */
export interface PlannedRoom {
  /** The first folder of the batch on it. */
  readonly folder: string;
  /** Of outputs that are not there yet, about. */
  readonly needed: number;
  readonly free: number;
  /** Kept aside for the report. */
  readonly aside: number;
  /** What is missing, about; 0: it fits. */
  readonly short: number;
}

/**
 * Whether what a plan makes fits the volumes it is written to, which are several where folders of targets lie
 * elsewhere. What is there of an output already needs no room. A volume that cannot be asked is left out.
 */
export async function planRoom({ jobs, out }: Plan): Promise<PlannedRoom[]> {
  const folders = new Map<string, number>([[out, 0]]);
  const names = new Map<string, ReadonlySet<string>>();
  for (const { outputs } of jobs) {
    for (const { path, estimate } of outputs) {
      const file = below(out, path);
      const folder = dirname(file);
      const known = names.get(folder) ?? (await namesIn(folder));
      names.set(folder, known);
      const there = known.has(basename(file)) ? await sizeOf(file) : 0;
      folders.set(folder, (folders.get(folder) ?? 0) + Math.max(estimate.bytes - there, 0));
    }
  }
  const volumes = new Map<number, PlannedRoom>();
  for (const [folder, needed] of folders) {
    const room = await roomIn(folder).catch(() => null);
    if (room === null) continue;
    const { free, aside, device } = room;
    const before = volumes.get(device);
    const all = needed + (before?.needed ?? 0);
    const short = Math.max(all + aside - free, 0);
    volumes.set(device, { folder: before?.folder ?? folder, needed: all, free, aside, short });
  }
  return [...volumes.values()];
}

/** Asked once a folder: most plans are of many clips of which nothing is there yet. */
async function namesIn(folder: string): Promise<ReadonlySet<string>> {
  return new Set(await readdir(folder).catch(() => []));
}

async function sizeOf(file: string): Promise<number> {
  return (await stat(file).catch(() => null))?.size ?? 0;
}

/** Where room is missing, in a sentence for each volume. Pure. */
export function shortfalls(rooms: readonly PlannedRoom[]): string[] {
  return rooms
    .filter(({ short }) => short > 0)
    .map(
      ({ folder, needed, free, aside, short }) =>
        `${folder}: about ${bytes(short)} are missing: ${bytes(needed)} to be made and ${bytes(aside)} for the report, ${bytes(free)} free`,
    );
}
