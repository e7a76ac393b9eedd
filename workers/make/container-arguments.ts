import { codecOfEncoder } from '../../jobs/codecs/picture-codecs.js';
import { container } from '../../jobs/containers/containers.js';
import type { ClipFacts } from '../../jobs/manifest/facts.js';
import type { OutputRecipe } from '../../jobs/plan/plan.js';
import { timecodeAtRate } from '../../signal/timecode-at-rate.js';
import { extraArguments } from './extra-arguments.js';

/** Common practice, no source. */
const FIRST_NUMBER = 1001;

/** Muxer, metadata and timecode. Timecode and reel are written from the plan. */
export function containerArguments(recipe: OutputRecipe, facts: ClipFacts): string[] {
  const sourceRate = facts.video?.frameRate ?? null;
  const { muxer, flags, indexFirst, isSequence, keepsTimecode } = container(recipe.container);
  const { reel } = recipe;
  const timecode =
    recipe.timecode === null || !keepsTimecode
      ? null
      : timecodeAtRate(recipe.timecode, sourceRate ?? recipe.frameRate, recipe.frameRate);
  // With the index first, a proxy plays while it loads; an intermediate would have to be written twice for
  // that.
  const allFlags = [...flags, ...(codecOfEncoder(recipe.video.encoder).streamed ? indexFirst : [])].join('');
  return [
    ...extraArguments(recipe, facts),
    ...(timecode === null ? [] : ['-timecode', timecode]),
    ...(reel === null ? [] : ['-metadata', `reel_name=${reel}`, '-metadata:s:v:0', `reel_name=${reel}`]),
    ...(allFlags === '' ? [] : ['-movflags', allFlags]),
    // A sequence keeps its numbers; others begin where those for effects usually do.
    ...(isSequence ? ['-start_number', String(facts.sequence?.first ?? FIRST_NUMBER)] : []),
    ...['-f', muxer],
  ];
}
