import { setTimeout as sleep } from 'node:timers/promises';
import { type Experience, withLearned } from '../../jobs/experience/experience.js';
import { connect, readAddress } from '../../jobs/queue/connection.js';
import { readSharedExperience } from '../../jobs/queue/shared-experience.js';
import { readStateExperience } from './state-experience.js';

/** A plan waits no longer for a server that may be away. */
const ANSWER_MS = 2_000;

/**
 * What finished work of this site teaches: of this machine, and of the workers of its server where one is
 * named and answers in time.
 */
export async function siteExperience(stateFolder: string, redisUrl: string | null): Promise<Experience> {
  const own = await readStateExperience(stateFolder);
  const shared = redisUrl === null ? null : await ofServer(redisUrl);
  if (shared === null) return own;
  const learned = Object.entries(shared.kinds).flatMap(([kind, pieces]) =>
    pieces.map((piece) => ({ kind, ...piece })),
  );
  return withLearned(own, learned);
}

async function ofServer(url: string): Promise<Experience | null> {
  if (readAddress(url) === null) return null;
  const redis = connect({ kind: 'named', url });
  const timer = new AbortController();
  const late = sleep(ANSWER_MS, null, { signal: timer.signal }).catch(() => null);
  try {
    return await Promise.race([readSharedExperience(redis, Date.now()).catch(() => null), late]);
  } finally {
    timer.abort();
    redis.disconnect();
  }
}
