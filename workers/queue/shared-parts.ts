import type { Redis } from 'ioredis';
import { partsQueue } from '../../jobs/queue/names.js';
import type { Log, Site } from '../clip-context.js';
import { codeDigest } from '../code-digest.js';
import type { Parallelism } from '../measure/parts/measure-divided.js';
import { askOthers } from './ask-others.js';
import { publishIdlePlaces } from './idle-places.js';
import { startPartWorker } from './part-worker.js';
import { Places } from './places.js';

export interface SharedPartsOptions {
  readonly redis: Redis;
  readonly site: Site;
  /** Jobs this worker may work on at once, clips and parts together. */
  readonly concurrency: number;
  /** Aborted: running parts stop at once and go back to the queue. */
  readonly stop: AbortSignal;
  readonly log: Log;
  readonly stalledIntervalMs?: number;
}

/** Parts of long files that the workers of one server measure for one another. */
export interface SharedParts {
  readonly places: Places;
  /** Those who are idle now, for a clip of the batch in this folder; null when nobody is. */
  elsewhere(out: string): Promise<Parallelism['elsewhere']>;
  close(): Promise<void>;
}

/** What figures may depend on. */
export function alike({ version, capabilities }: Site): string[] {
  return [version, codeDigest(), capabilities.ffmpegVersion, process.version, process.arch];
}

/**
 * Measures parts for other workers on the places this one has idle, and finds others for its own. Only
 * workers that measure alike to the last bit have a queue in common: of the same code of goodgate, ffmpeg,
 * Node and kind of processor.
 */
export function shareParts(options: SharedPartsOptions): SharedParts {
  const { redis, site, stop, log, stalledIntervalMs } = options;
  const queue = partsQueue(alike(site));
  const places = new Places(options.concurrency, () => worker.resize());
  const worker = startPartWorker({ redis, queue, site, places, stop, log, stalledIntervalMs });
  const idle = publishIdlePlaces(redis, queue, places);
  return {
    places,
    async elsewhere(out) {
      const count = await idle.elsewhere();
      return count === 0 ? null : { places: count, run: askOthers({ redis, queue, places, out }) };
    },
    async close() {
      idle.close();
      await worker.close();
    },
  };
}
