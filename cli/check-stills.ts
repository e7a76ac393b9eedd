import { resolveColour } from '../planner/clip-colour.js';
import { probeClip } from '../workers/probe/probe-clip.js';
import { drawStills } from '../workers/report/stills/batch-stills.js';
import type { Stills } from '../workers/report/stills/still.js';
import type { CheckAsked, CheckedFile } from './checked-file.js';
import { ffmpegOf } from './environment.js';

/** Stills of the findings of checked files, read again where they lie. Never throws: what cannot be drawn is left out. */
export function checkStills(
  files: readonly CheckedFile[],
  { targets, environment, colour, signal, log }: CheckAsked,
): Promise<Stills> {
  const programs = { ...ffmpegOf(environment), signal };
  const requireOf = (name: string) => targets.find((target) => target.name === name)?.require ?? null;
  const sources = files.flatMap(({ path, measurement, verdicts }) => {
    const judged = verdicts
      .filter(({ verdict }) => verdict !== 'pass')
      .map((verdict) => ({ verdict, require: requireOf(verdict.target) }));
    if (measurement === null || judged.length === 0) return [];
    const picture = async () => {
      const { video } = await probeClip(path, programs);
      return video === null ? null : { video, colour: resolveColour(video, colour).colour };
    };
    return [{ path, measurement, judged, picture }];
  });
  return drawStills(sources, { ...programs, log });
}
