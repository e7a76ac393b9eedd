import type { Redis } from 'ioredis';
import {
  type Experience,
  finished,
  KEPT_PER_KIND,
  KINDS_AT_MOST,
  kindName,
  type Learned,
  NO_EXPERIENCE,
  withLearned,
} from '../experience/experience.js';
import { EXPERIENCE_KEY, experienceKey } from './names.js';

/** A clock that is wrong by less; what is later would stay the latest for ever. */
const AHEAD_MS = 86_400_000;
/** A piece of work as text is far shorter: the rest was put there by somebody else. */
const TEXT_AT_MOST = 200;

/** Adds finished work to what the workers of a server know. */
export async function shareLearned(learned: readonly Learned[], redis: Redis): Promise<void> {
  const write = redis.multi();
  for (const { kind, ...piece } of learned) {
    if (!kindName.safeParse(kind).success || !finished.safeParse(piece).success) continue;
    write.lpush(experienceKey(kind), JSON.stringify(piece));
    write.ltrim(experienceKey(kind), 0, KEPT_PER_KIND - 1);
    write.zadd(EXPERIENCE_KEY, piece.at, kind);
  }
  await write.exec();
  const over = await redis.zrange(EXPERIENCE_KEY, '0', String(-KINDS_AT_MOST - 1));
  if (over.length === 0) return;
  await redis.zrem(EXPERIENCE_KEY, ...over);
  await redis.del(over.map(experienceKey));
}

/**
 * What the workers of a server know. Whoever can write to it may have put anything there: what is no piece of
 * work is passed over, and no piece counts for more than one.
 *
 * @param now milliseconds since 1970
 */
export async function readSharedExperience(redis: Redis, now: number): Promise<Experience> {
  const kinds = (await redis.zrange(EXPERIENCE_KEY, '0', String(KINDS_AT_MOST - 1), 'REV')).filter(
    (kind) => kindName.safeParse(kind).success,
  );
  const read = redis.pipeline();
  for (const kind of kinds) read.lrange(experienceKey(kind), 0, KEPT_PER_KIND - 1);
  const answers = (await read.exec()) ?? [];
  const learned = kinds.flatMap((kind, index) => {
    const texts = answers[index]?.[1];
    return Array.isArray(texts) ? texts.flatMap((text) => pieceOf(kind, text, now) ?? []) : [];
  });
  return withLearned(NO_EXPERIENCE, learned);
}

function pieceOf(kind: string, text: unknown, now: number): Learned | null {
  if (typeof text !== 'string' || text.length > TEXT_AT_MOST) return null;
  try {
    const piece = finished.safeParse(JSON.parse(text)).data;
    return piece === undefined || piece.at > now + AHEAD_MS ? null : { kind, ...piece };
  } catch {
    return null;
  }
}
