import { z } from 'zod';

/** Names of kinds are made of names of codecs and of classes; others are not ours. */
export const kindName = z.string().regex(/^[a-z]+(?:\|[\w.+-]{1,60}){1,12}$/);

/** More bytes or seconds than a job comes to; what is above is no experience. */
const MOST = 1e15;
const figure = z.number().positive().max(MOST);

/** One piece of finished work. */
export const finished = z.object({
  reckoned: figure,
  came: figure,
  /** When, in milliseconds since 1970 by the clock of whoever did it: it tells pieces apart and ages them. */
  at: z.number().int().nonnegative().max(8.64e15),
});
export type Finished = z.infer<typeof finished>;

/** The last pieces of a kind tell; of what a site did long ago, with other machines, nothing is kept. */
export const KEPT_PER_KIND = 24;
/** A site has few kinds: codecs, profiles, qualities and rasters of its targets. */
export const KINDS_AT_MOST = 300;

/** `experience.json`: what the finished work of a site came to, beside what was reckoned of it, by kind. */
export const experience = z.object({
  schema: z.literal('goodgate/experience@1'),
  kinds: z.record(kindName, z.array(finished).max(KEPT_PER_KIND)),
});
export type Experience = z.infer<typeof experience>;

/** A piece of work with its kind. */
export interface Learned extends Finished {
  readonly kind: string;
}

export const NO_EXPERIENCE: Experience = { schema: 'goodgate/experience@1', kinds: {} };

/**
 * Experience with more in it. Each piece counts once, however often it is told; of a kind the latest are
 * kept, and the kinds that were worked on last. Pure.
 */
export function withLearned({ schema, kinds }: Experience, learned: readonly Learned[]): Experience {
  const all = new Map(Object.entries(kinds).map(([kind, pieces]) => [kind, [...pieces]]));
  for (const { kind, reckoned, came, at } of learned) {
    const piece = finished.safeParse({ reckoned, came, at });
    if (!piece.success || !kindName.safeParse(kind).success) continue;
    const pieces = all.get(kind) ?? [];
    const isKnown = pieces.some((each) => each.at === at && each.came === came);
    if (!isKnown) pieces.push(piece.data);
    all.set(kind, pieces);
  }
  const latest = ([, pieces]: [string, Finished[]]): number => Math.max(0, ...pieces.map(({ at }) => at));
  const kept = [...all]
    .map(([kind, pieces]): [string, Finished[]] => [
      kind,
      pieces.sort((a, b) => a.at - b.at).slice(-KEPT_PER_KIND),
    ])
    .sort((a, b) => latest(b) - latest(a))
    .slice(0, KINDS_AT_MOST);
  return { schema, kinds: Object.fromEntries(kept) };
}
