import { dirname, relative, sep } from 'node:path';
import type { OutputRecipe } from '../../jobs/plan/plan.js';
import { readPlan } from '../../workers/batch/assemble.js';
import { foundMeasurement } from '../../workers/batch/documents.js';
import { measurementFile } from '../../workers/batch/folder.js';

/**
 * Folders looked into, from the copy's upwards: a batch folder lies a target and the folders of a card above.
 */
const MOST_FOLDERS = 24;

/**
 * How a copy was made of its original, where the copy lies in the folder of the batch that made it and is
 * still the file that was made there; undefined where that is not known.
 *
 * @param copy absolute path
 * @param original absolute path of what it was made of
 */
export async function recipeOfCopy(copy: string, original: string): Promise<OutputRecipe | undefined> {
  let folder = dirname(copy);
  for (let level = 0; level < MOST_FOLDERS && dirname(folder) !== folder; level += 1) {
    const path = relative(folder, copy).split(sep).join('/');
    const plan = await readPlan(folder);
    for (const { clip, outputs } of plan?.jobs ?? []) {
      const output = outputs.find((made) => made.path === path);
      if (output === undefined || clip.path !== original) continue;
      const made = await foundMeasurement(folder, measurementFile(path), { key: output.key, path: copy });
      return made === null ? undefined : output.recipe;
    }
    folder = dirname(folder);
  }
  return undefined;
}
