import { stat } from 'node:fs/promises';
import { dirname, extname, isAbsolute, relative, resolve } from 'node:path';
import { GoodgateError } from '../../jobs/errors.js';
import { formatCsv } from '../../jobs/manifest/csv-manifest.js';
import { formatManifest, loadManifest } from '../../jobs/manifest/load-manifest.js';
import type { Manifest, ManifestClip, WrittenLook } from '../../jobs/manifest/manifest.js';
import { isSoundApart } from '../../jobs/manifest/sound-place.js';
import { applyRules } from '../../planner/rules.js';
import { soundToLay, statingSound } from '../../planner/sound/lay-sound.js';
import { defaultSound } from '../../planner/sound/sound-tracks.js';
import { withStated } from '../../planner/stated-facts.js';

/** Forms a manifest is written in. */
export const MANIFEST_ENDINGS = ['.yaml', '.yml', '.json', '.csv'] as const;

/** Whether a manifest is given where folders of cards are: it is then written in another form. */
export async function isManifestFile(path: string): Promise<boolean> {
  const isNamed = MANIFEST_ENDINGS.some((ending) => ending === extname(path).toLowerCase());
  return isNamed && ((await stat(path).catch(() => null))?.isFile() ?? false);
}

/**
 * A manifest in the form that the name of a file asks for. In a CSV list rules and defaults become settings
 * of the clips, and facts are left out.
 *
 * @param out absolute, or undefined for stdout
 * @throws GoodgateError `missing-file`, `bad-document`; `bad-option` where a list has no place for something
 */
export async function convertManifest(
  input: string,
  out: string | undefined,
  isJson: boolean,
): Promise<string> {
  const { manifest, folder } = await loadManifest(input);
  const moved = movedTo(manifest, folder, out === undefined ? process.cwd() : dirname(out));
  return manifestText(moved, out, isJson);
}

/** The text of a manifest, by the ending of its file. */
export function manifestText(manifest: Manifest, file: string | undefined, isJson: boolean): string {
  const ending = extname(file ?? '').toLowerCase();
  if (ending === '.csv') return formatCsv({ ...manifest, clips: settledClips(withUnreadable(manifest)) });
  return isJson || ending === '.json' ? `${JSON.stringify(manifest, null, 2)}\n` : formatManifest(manifest);
}

/** Files that could not be read are rows too: whoever reads the list tries them again, and tells them. */
function withUnreadable(manifest: Manifest): Manifest {
  const listed = new Set(manifest.clips.map(({ file }) => file));
  const others = (manifest.unreadable ?? []).filter(({ file }) => !listed.has(file));
  return { ...manifest, clips: [...manifest.clips, ...others.map(({ file }) => ({ file }))] };
}

/**
 * Clips for which `soundFrom` says what it says: that of rules and `defaults` leaves a clip its own sound
 * where none was recorded meanwhile, and in a list it would be that of the clip itself.
 */
function withSoundFrom({ clips, defaults }: Manifest, ruled: readonly ManifestClip[]): ReadonlySet<string> {
  const own = statingSound(clips);
  const fits = ({ file, facts, ...clip }: ManifestClip): boolean => {
    if (own.has(file)) return true;
    const from = clip.soundFrom === undefined ? defaults?.soundFrom : clip.soundFrom;
    if (facts?.video == null) return true;
    const { container, video } = facts;
    const laying = soundToLay({
      ...{ from, isOwn: false, clips, kept: ruled, unread: [], pathOf: (name) => name },
      facts: withStated(facts, video, { frameRate: clip.frameRate ?? defaults?.frameRate }),
      startTimecode: clip.startTimecode ?? container.startTimecode,
    });
    return !laying.ok || laying.laid !== null;
  };
  return new Set(ruled.filter(fits).map(({ file }) => file));
}

/** Clips with all that holds for them; those that are skipped say so. */
function settledClips(manifest: Manifest): ManifestClip[] {
  const { defaults = {} } = manifest;
  const { clips } = applyRules(manifest);
  const ruled = new Map(clips.map((clip) => [clip.file, clip]));
  const layable = withSoundFrom(manifest, clips);
  return manifest.clips.map((written) => {
    const { file } = written;
    const clip = ruled.get(file);
    if (clip === undefined) return { file, skip: true };
    // What holds for pictures is not for it: with a target of its own it would be refused as a clip.
    if (isSoundApart(written)) return written;
    const colour = { ...defaults.colour, ...clip.colour };
    const { sound: usual, ...others } = defaults;
    // The sound of the defaults is taken only where it fits; that of a clip has to fit.
    const fitting = usual === undefined ? undefined : defaultSound(clip.facts?.audio ?? [], usual);
    const sound = clip.sound ?? (fitting?.unfit == null ? fitting?.choice : undefined);
    const { soundFrom, ...settled } = { ...others, ...clip };
    const isLaid = layable.has(file);
    return {
      ...settled,
      ...(soundFrom === undefined || !isLaid ? {} : { soundFrom }),
      ...(Object.keys(colour).length === 0 ? {} : { colour }),
      ...(sound === undefined ? {} : { sound }),
    };
  });
}

/** Paths of a manifest start from its folder: in another one they are written anew. */
function movedTo(manifest: Manifest, from: string, to: string): Manifest {
  if (from === to) return manifest;
  const path = (written: string): string =>
    isAbsolute(written) ? written : relative(to, resolve(from, written)) || '.';
  const look = (written: WrittenLook): WrittenLook =>
    typeof written === 'string' ? path(written) : { ...written, file: path(written.file) };
  // A name of a built-in target is no path.
  const target = (name: string): string => (/[/.]/.test(name) ? path(name) : name);
  const settings = <Settings extends Pick<ManifestClip, 'look' | 'targets'>>(set: Settings): Settings => ({
    ...set,
    ...(set.look == null ? {} : { look: look(set.look) }),
    ...(set.targets === undefined ? {} : { targets: set.targets.map(target) }),
  });
  return {
    ...manifest,
    root: path(manifest.root),
    ...(manifest.defaults === undefined ? {} : { defaults: settings(manifest.defaults) }),
    ...(manifest.rules === undefined
      ? {}
      : { rules: manifest.rules.map((rule) => ({ ...rule, set: settings(rule.set) })) }),
    clips: manifest.clips.map(settings),
  };
}

/** @throws GoodgateError `bad-option` */
export function requireOutput(file: string | undefined): string {
  if (file !== undefined) return file;
  throw new GoodgateError('bad-option', {
    what: 'a manifest is given, and no file to write it to in another form',
    next: 'name it: goodgate scan night4.yaml -o night4.csv; to look at cards again, name their folders',
  });
}
