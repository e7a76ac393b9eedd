import { stat, statfs } from 'node:fs/promises';
import { dirname } from 'node:path';

/** Of a batch's report and documents on a volume, kept free while clips are made. */
const REPORT_BYTES = 64e6;
/** On a small volume no more than this part. */
const REPORT_SHARE = 1 / 4;

/** Room on the volume of a folder, in bytes. */
export interface Room {
  /** Tells volumes apart on one machine. */
  readonly device: number;
  /** For anybody who is not the administrator. */
  readonly free: number;
  /** Kept aside for the report. */
  readonly aside: number;
}

/**
 * Room where a folder is or is going to be: on the volume of its nearest folder that is there.
 *
 * @throws what the file system says
 */
export async function roomIn(folder: string): Promise<Room> {
  for (let at = folder; ; at = dirname(at)) {
    try {
      const [{ bavail, bsize, blocks }, { dev }] = await Promise.all([statfs(at), stat(at)]);
      return { device: dev, free: bavail * bsize, aside: asideOf(blocks * bsize) };
    } catch (error) {
      if (dirname(at) === at) throw error;
    }
  }
}

/** @param size of the volume, in bytes */
export function asideOf(size: number): number {
  return Math.min(REPORT_BYTES, size * REPORT_SHARE);
}
