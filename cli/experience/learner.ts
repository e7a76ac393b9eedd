import type { Redis } from 'ioredis';
import { type Learned, withLearned } from '../../jobs/experience/experience.js';
import { learnedFrom } from '../../jobs/experience/learn.js';
import { shareLearned } from '../../jobs/queue/shared-experience.js';
import type { Log } from '../../workers/clip-context.js';
import type { Onlooker } from '../../workers/queue/onlooker.js';
import { readStateExperience, writeStateExperience } from './state-experience.js';

export interface LearnerOptions {
  readonly stateFolder: string;
  /** Server of the site, for its other workers; null: it is this machine's own. */
  readonly redis: Redis | null;
  readonly log: Pick<Log, 'debug'>;
}

export interface Learner extends Onlooker {
  /** When all that was told is written. */
  settled(): Promise<void>;
}

/**
 * Keeps what finished clips teach of sizes and times, in the state folder and on the server. What cannot be
 * kept is not: no clip waits for it or fails by it.
 */
export function learner({ stateFolder, redis, log }: LearnerOptions): Learner {
  let writing = Promise.resolve();
  const keep = async (learned: readonly Learned[]): Promise<void> => {
    // Read again each time: other processes of this machine write there as well.
    const known = await readStateExperience(stateFolder);
    await writeStateExperience(stateFolder, withLearned(known, learned));
    if (redis?.status === 'ready') await shareLearned(learned, redis);
  };
  return {
    stage: () => undefined,
    done({ job }, { clip, times, made }) {
      if (clip.wasThere || clip.seconds === null) return;
      const bytes = new Map(
        clip.items.flatMap((item) => (item.bytes === null ? [] : [[item.path, item.bytes]])),
      );
      const seconds = { decode: times.seconds.decode, ofOutput: times.ofOutput, whole: clip.seconds };
      const learned = learnedFrom(job, { made, bytes, seconds }, Date.now());
      writing = writing
        .then(() => keep(learned))
        .catch((error: unknown) => log.debug({ err: error }, 'what a clip came to is not kept'));
    },
    settled: () => writing,
  };
}

/** Several onlookers as one. */
export function onlookers(all: readonly (Onlooker | undefined)[]): Onlooker {
  return {
    stage(job, stage) {
      for (const each of all) each?.stage(job, stage);
    },
    done(data, done) {
      for (const each of all) each?.done(data, done);
    },
  };
}
