import { container } from '../jobs/containers/containers.js';
import type { ClipFacts } from '../jobs/manifest/facts.js';
import type { CarryRecipe } from '../jobs/plan/carry.js';
import type { Loss, OutputRecipe } from '../jobs/plan/plan.js';
import type { MakeRecipe } from '../jobs/targets/target.js';
import { nameUncarried } from './uncarried.js';

/**
 * What is kept of a clip besides picture, sound, timecode and reel; null where the target keeps nothing.
 */
export function planCarry(
  facts: ClipFacts,
  make: Pick<MakeRecipe, 'carry' | 'container'>,
): CarryRecipe | null {
  if (make.carry === 'none') return null;
  const { keeps } = container(make.container);
  return {
    subtitles: facts.otherStreams.flatMap(({ stream, kind, codec }) => {
      const how = keeps.subtitles[codec];
      return kind !== 'subtitles' || how === undefined ? [] : [{ stream, codec: how }];
    }),
    chapters: keeps.chapters && facts.container.chapters > 0,
    tags: keeps.tags,
  };
}

/** Losses that a target with `carry: all` may have, named in the plan; any other makes it refuse the clip. */
const ACCEPTED_LOSSES: ReadonlySet<string> = new Set(['metadata', 'cover', 'hdr-tags', 'subtitle-style']);

/** Why a target with `carry: all` refuses a clip, and what to do instead; null where it does not. */
export function refusalToCarry(
  facts: ClipFacts,
  make: Pick<MakeRecipe, 'carry'>,
  recipe: OutputRecipe,
): { readonly reason: string; readonly next: string } | null {
  if (make.carry !== 'all') return null;
  const missing: Loss[] = nameUncarried(facts, recipe).filter(({ what }) => !ACCEPTED_LOSSES.has(what));
  if (missing.length === 0) return null;
  return {
    reason: `this target makes an output only if everything is kept: ${missing.map(({ why }) => why).join('; ')}`,
    next: 'keep the original itself, or extend the target with `make: { carry: possible }` and without `require.carried`',
  };
}
