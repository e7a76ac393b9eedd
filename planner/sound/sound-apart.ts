import type { ManifestClip } from '../../jobs/manifest/manifest.js';
import { soundBeside } from '../../jobs/manifest/sound-beside.js';
import type { SoundApart } from '../../jobs/plan/plan.js';
import type { Target } from '../../jobs/targets/target.js';
import { count, firstOf } from '../../jobs/words/numbers.js';

export const NO_PICTURE = {
  reason: 'the file has no picture',
  next: 'files without picture can be measured, not transcoded: leave the clip out',
} as const;

/**
 * Sound recorded apart lies on cards with pictures: no target that makes something is meant for it, unless it
 * names one itself. Pure.
 */
export function isBesidePictures(
  { file, facts }: ManifestClip,
  names: readonly string[],
  { targets, manifest }: BesideWhat,
): boolean {
  if (facts === undefined || facts.video !== null) return false;
  const own = manifest.clips.find((clip) => clip.file === file)?.targets;
  return own === undefined && names.every((name) => targets.get(name)?.make !== undefined);
}

interface BesideWhat {
  readonly targets: ReadonlyMap<string, Target>;
  readonly manifest: { readonly clips: readonly ManifestClip[] };
}

/**
 * All sound recorded apart that nothing skips, for the report: what it is, beside which clips, and laid into
 * which.
 *
 * @param used clips that it is laid into, by its file
 */
export function soundApartIn(
  kept: readonly ManifestClip[],
  all: readonly ManifestClip[],
  used: ReadonlyMap<string, readonly string[]>,
): SoundApart[] {
  const files = new Set(kept.map(({ file }) => file));
  return soundBeside(all)
    .filter(({ file }) => files.has(file))
    .map(({ file, words, beside }) => ({
      ...{ file, words, beside: [...beside], laidInto: [...(used.get(file) ?? [])] },
    }));
}

/**
 * What a plan says of such files.
 *
 * @param all clips of the manifest, which they may have been recorded beside
 */
export function soundNote(clips: readonly ManifestClip[], all: readonly ManifestClip[]): string[] {
  if (clips.length === 0) return [];
  const apart = new Set(clips.map(({ file }) => file));
  const files = soundBeside(all)
    .filter(({ file }) => apart.has(file))
    .map(({ file, words, beside }) => {
      const during = beside.length === 0 ? '' : `beside ${firstOf(beside, 3)}`;
      const told = [words, during].filter(Boolean).join(', ');
      return told === '' ? file : `${file} (${told})`;
    });
  return [
    `sound recorded apart, of which nothing is made: ${count(files.length, 'file')}: ${firstOf(files, 3)}; goodgate measure FILE measures one`,
  ];
}
