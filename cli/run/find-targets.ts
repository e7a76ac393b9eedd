import { GoodgateError } from '../../jobs/errors.js';
import type { Manifest } from '../../jobs/manifest/manifest.js';
import { loadTarget, type TargetPlace, targetFile } from '../../jobs/targets/load-target.js';
import type { Target } from '../../jobs/targets/target.js';

/**
 * The targets that are wanted, by what they were called: those of the command line, or else of the manifest.
 *
 * @param folder of the manifest
 * @throws GoodgateError `unknown-target`, `bad-document`, `bad-option` (two of one name)
 */
export async function findTargets(
  manifest: Manifest,
  { targets: chosen, targetFolder }: { targets: readonly string[]; targetFolder?: string | undefined },
  folder: string,
): Promise<Map<string, Target>> {
  const targets = new Map<string, Target>();
  for (const name of chosen)
    targets.set(name, await loadTarget(name, { baseFolder: process.cwd(), targetFolder }));
  if (chosen.length > 0) return requireNamesApart(targets);
  const named = new Set([
    ...(manifest.defaults?.targets ?? []),
    ...(manifest.rules ?? []).flatMap(({ set }) => set.targets ?? []),
    ...manifest.clips.flatMap((clip) => clip.targets ?? []),
  ]);
  for (const name of named) targets.set(name, await loadTarget(name, { baseFolder: folder, targetFolder }));
  return requireNamesApart(targets);
}

/** The files of those that are not built in, by the targets' own names. */
export async function targetFilesOf(
  targets: ReadonlyMap<string, Target>,
  place: TargetPlace,
): Promise<Record<string, string>> {
  const files: Record<string, string> = {};
  for (const [call, { name }] of targets) {
    const file = await targetFile(call, place);
    if (file !== null) files[name] = file;
  }
  return files;
}

/** Outputs and verdicts lie in folders of their targets' names: two of one name would lie in the same. */
function requireNamesApart(targets: Map<string, Target>): Map<string, Target> {
  const calledBy = new Map<string, string>();
  for (const [call, { name }] of targets) {
    const other = calledBy.get(name);
    calledBy.set(name, call);
    if (other === undefined) continue;
    throw new GoodgateError('bad-option', {
      what: `two targets have the name "${name}": ${other} and ${call}`,
      next: 'give one of them another name: their outputs lie in folders of these names',
    });
  }
  return targets;
}
