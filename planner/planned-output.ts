import type { PlannedOutput } from '../jobs/plan/plan.js';
import type { Target } from '../jobs/targets/target.js';
import { contentKey } from './content-key.js';
import { estimateOutput } from './estimate.js';
import { nameFloats, nameLosses, nameMissingFrames } from './losses/losses.js';
import type { ClipWish } from './plan-output.js';
import { clipIdentity, type JobTools } from './planned-job.js';
import { nameSoundLosses } from './sound/sound-losses.js';
import { nameUncarried } from './uncarried.js';

/** Absolute path of a look, and a hash of its content or why it cannot be read. */
export type KnownLook = { readonly path: string } & (
  | { readonly hash: string; readonly fault?: undefined }
  | { readonly fault: string }
);

/** What a target asks for, with every choice made for the clip. */
interface SettledTarget extends Pick<PlannedOutput, 'target' | 'recipe' | 'require'> {
  readonly make: NonNullable<Target['make']>;
}

/** The clip, where its output goes in the batch folder, and the processors that its job has. */
interface Place {
  readonly wish: ClipWish;
  readonly path: string;
  readonly cores: number;
}

/** The output of one clip and target with its key, its losses and its estimate. Pure. */
export function plannedOutputOf(
  { target, make, require, recipe }: SettledTarget,
  { wish, path, cores }: Place,
  { tools, looks }: { readonly tools: JobTools; readonly looks: ReadonlyMap<string, KnownLook> },
): PlannedOutput {
  const look = [...looks.values()].find((known) => known.path === recipe.rendering?.look?.file);
  const lookHash = look === undefined || look.fault !== undefined ? null : look.hash;
  const laid = recipe.audio?.laid;
  const tracks = laid?.flatMap(({ audio }) => audio) ?? wish.facts.audio;
  return {
    target,
    path,
    key: contentKey({ clip: clipIdentity(wish), path, recipe: withoutPlace(recipe), lookHash, tools }),
    recipe,
    require,
    losses: [
      ...nameLosses(wish.video, make, recipe),
      ...nameSoundLosses(wish.facts.audio, recipe),
      ...nameUncarried(wish.facts, recipe),
      ...nameFloats(wish.video),
      ...nameMissingFrames(wish.facts),
    ],
    estimate: estimateOutput(
      recipe,
      wish.video.frames ?? 0,
      wish.video.durationSeconds ?? wish.facts.container.durationSeconds ?? 0,
      cores,
      tracks.reduce((sum, stream) => sum + stream.channels, 0),
    ),
  };
}

/** A card that is mounted elsewhere holds the same sound: like the clip it is known by its name. */
function withoutPlace(recipe: PlannedOutput['recipe']): unknown {
  const { audio } = recipe;
  if (audio?.laid === undefined) return recipe;
  const laid = audio.laid.map(({ path: _, ...file }) => file);
  return { ...recipe, audio: { ...audio, laid } };
}
