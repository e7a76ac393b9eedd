import { stat } from 'node:fs/promises';
import { availableParallelism, totalmem } from 'node:os';
import { basename, dirname, join, relative, resolve } from 'node:path';
import { GoodgateError } from '../jobs/errors.js';
import { loadManifest } from '../jobs/manifest/load-manifest.js';
import type { Manifest, ManifestClip } from '../jobs/manifest/manifest.js';
import type { Batch } from '../jobs/plan/batch.js';
import type { Capabilities } from '../jobs/plan/capabilities.js';
import type { Severity } from '../jobs/plan/loss-severity.js';
import type { Plan } from '../jobs/plan/plan.js';
import { count, firstOf, grouped } from '../jobs/words/numbers.js';
import { visible } from '../jobs/words/plain-text.js';
import { leftOf, namingIn } from '../planner/join-plans.js';
import { planBatch } from '../planner/plan-batch.js';
import type { UnreadClip } from '../planner/sound/lay-sound.js';
import { atOnce } from '../workers/at-once.js';
import { readPlan } from '../workers/batch/assemble.js';
import { askCapabilities } from '../workers/capabilities/ask-ffmpeg.js';
import { fileState, isSameState } from '../workers/file/file-state.js';
import { missingListed } from '../workers/hash-list/missing-listed.js';
import { scanFolder } from '../workers/probe/card/scan-folder.js';
import { probeClips } from '../workers/probe/probe-clips.js';
import { listedFilesOf, pathOf, sameContentNotes } from './card/clip-files.js';
import { missingFromCard, unlistedNote } from './card/listed-and-not.js';
import type { Environment } from './environment.js';
import { findLooks } from './find-looks.js';
import { step } from './print.js';
import { requireClips } from './require-clips.js';
import { earlierPlan, planMark } from './run/earlier-plan.js';
import { findTargets, targetFilesOf } from './run/find-targets.js';
import { type JoinedBatch, joinBatch } from './run/join-batch.js';
import { requireNoOriginalIn } from './run/require-own-folder.js';
import { goodgateVersion } from './version.js';

export interface PrepareOptions {
  /** Manifest file, or a folder to scan. */
  readonly input: string;
  /** Targets from the command line, names or paths; empty: the manifest decides. */
  readonly targets: readonly string[];
  readonly out: string | undefined;
  /** Folder in which the batch folder is made where `out` names none. */
  readonly batches?: string | undefined;
  /** Folder of the site's own targets. */
  readonly targetFolder?: string | undefined;
  readonly refuseLosses?: Severity | undefined;
  readonly workers: number | undefined;
  /** The folder is given to this batch, whatever it holds. */
  readonly replace?: boolean | undefined;
  readonly environment: Environment;
  readonly signal?: AbortSignal | undefined;
  /** Of a folder that is scanned: whether a file, by its path below the folder, belongs to the batch. */
  readonly only?: ((file: string) => boolean) | undefined;
  readonly onScan?: ((done: number, total: number) => void) | undefined;
}

export interface Prepared {
  /** The batch as it will be, with what its folder holds of other manifests. */
  readonly plan: Plan;
  /** What was asked for alone. */
  readonly asked: Pick<JoinedBatch, 'plan' | 'unreadable'>;
  /** Ids of jobs of other manifests, which stay as they are. */
  readonly kept: ReadonlySet<string>;
  readonly capabilities: Capabilities;
  readonly unreadable: Batch['unreadable'];
  /** Of the plan's notes those that are told by every command, not only by `plan`. */
  readonly warnings: readonly string[];
  readonly version: string;
  /** Which plan the folder held when this one was made (run/earlier-plan.ts); null: none. */
  readonly earlierMark: string | null;
  /** Plans the same once more, into what the folder holds by now. */
  again(): Promise<Prepared>;
}

/**
 * Jobs at once on this machine. ffmpeg threads one job over all cores by itself, so more jobs than half the
 * cores only help to fill the gaps between decoding, encoding and measuring; each wants up to 2 GiB at UHD.
 */
export function defaultWorkers(): number {
  // A container's own limit; 0, or more than there is, where it has none.
  const limit = process.constrainedMemory() || Number.POSITIVE_INFINITY;
  const byMemory = Math.floor(Math.min(totalmem(), limit) / 2 ** 31);
  return Math.max(1, Math.min(byMemory, Math.max(2, Math.floor(availableParallelism() / 2))));
}

async function isFolder(path: string): Promise<boolean> {
  try {
    return (await stat(path)).isDirectory();
  } catch (error) {
    throw new GoodgateError('missing-file', {
      what: 'there is no such manifest or folder',
      where: path,
      next: 'check the path; goodgate scan FOLDER -o manifest.yaml writes a manifest',
      cause: error,
    });
  }
}

/** A server across a network answers many questions in the time of one. */
const LOOKS_AT_ONCE = 64;

/** Facts are stale when the file's size or time changed since they were read. */
async function isFresh(path: string, clip: ManifestClip): Promise<boolean> {
  if (clip.facts === undefined) return false;
  try {
    return isSameState(await fileState(path), clip.facts);
  } catch {
    return false;
  }
}

/**
 * Reads the facts the manifest lacks or that are stale; clips that cannot be read are listed, not dropped.
 */
async function fillFacts(
  manifest: Manifest,
  root: string,
  options: PrepareOptions,
): Promise<{ clips: ManifestClip[]; unread: UnreadClip[]; unreadable: Batch['unreadable'] }> {
  const { environment, signal, onScan } = options;
  const paths = manifest.clips.map((clip) => pathOf(root, clip));
  const fresh = await atOnce(LOOKS_AT_ONCE, manifest.clips.entries(), ([index, clip]) =>
    isFresh(paths[index] ?? '', clip),
  );
  const stale = paths.filter((_, index) => fresh[index] !== true);
  const before = paths.length - stale.length;
  step(`clips: ${count(before, 'clip')} with facts in the manifest, ${grouped(stale.length)} to be read`);
  const probed = await probeClips(stale, {
    tools: environment.tools,
    signal,
    onProgress: (done) => onScan?.(before + done, paths.length),
  });
  const read = new Map(stale.map((path, index) => [path, probed[index]]));
  const clips: ManifestClip[] = [];
  const unreadable: Batch['unreadable'] = [...(manifest.unreadable ?? [])];
  const unread: UnreadClip[] = [];
  for (const [index, clip] of manifest.clips.entries()) {
    const answer = read.get(paths[index] ?? '');
    if (answer === undefined) clips.push(clip);
    else if ('facts' in answer) clips.push({ ...clip, facts: answer.facts });
    else {
      unread.push({ clip, reason: answer.reason });
      unreadable.push({ file: clip.file, reason: answer.reason });
    }
  }
  return { clips, unread, unreadable };
}

/** What is the same for every clip is told once, and before the clips are read. Errors: nothing-to-do. */
function requireSomething(
  { clips, unreadable = [], defaults, rules = [] }: Manifest,
  { targets }: PrepareOptions,
  input: string,
): void {
  requireClips(clips.length + unreadable.length, input);
  const isTargetNamed =
    targets.length > 0 ||
    [defaults, ...rules.map(({ set }) => set), ...clips].some((each) => (each?.targets ?? []).length > 0);
  if (clips.length === 0 || isTargetNamed) return;
  throw new GoodgateError('nothing-to-do', {
    what: 'no target is named, neither here nor by the manifest',
    where: input,
    next: 'add --target NAME, or targets: to the manifest; goodgate targets lists them',
  });
}

/**
 * Everything between the command line and a plan: manifest or folder, facts, targets, looks, and what ffmpeg
 * can do.
 */
export async function preparePlan(options: PrepareOptions): Promise<Prepared> {
  const input = resolve(options.input);
  const version = goodgateVersion();
  const folderGiven = await isFolder(input);
  const loaded = folderGiven
    ? {
        manifest: keepOnly(
          await scanFolder([input], {
            tools: options.environment.tools,
            signal: options.signal,
            onProgress: options.onScan,
          }),
          options.only,
        ),
        folder: input,
      }
    : await loadManifest(input);
  const root = resolve(loaded.folder, loaded.manifest.root);
  requireSomething(loaded.manifest, options, input);
  // Targets before facts: a mistake in a name should not cost the time of a scan.
  const targets = await findTargets(loaded.manifest, options, loaded.folder);
  const { tools, stateFolder } = options.environment;
  const capabilities = await askCapabilities({ tools, cacheFolder: stateFolder });
  step(`ffmpeg: ${tools.ffmpeg ?? 'ffmpeg'} ${capabilities.ffmpegVersion}`);
  const { clips, unread, unreadable } = folderGiven
    ? { clips: loaded.manifest.clips, unread: [], unreadable: loaded.manifest.unreadable ?? [] }
    : await fillFacts(loaded.manifest, root, options);
  const out = resolve(options.out ?? defaultOut(input, folderGiven, options.batches));
  await requireNoOriginalIn(
    out,
    loaded.manifest.clips.map((clip) => join(root, clip.file)),
  );
  step(`originals: ${visible(root)}`);
  step(`batch folder: ${visible(out)}`);
  const known = await listedFilesOf(clips.map((clip) => pathOf(root, clip)));
  // What is watched may still be on its way: there only what has arrived belongs to the batch.
  const missing = options.only === undefined ? await missingListed(root, known.lists, folderGiven) : [];
  const gone = missingFromCard(missing, { ...loaded.manifest, unreadable });
  const files = await targetFilesOf(targets, {
    baseFolder: options.targets.length > 0 ? process.cwd() : loaded.folder,
    targetFolder: options.targetFolder,
  });
  for (const { name } of targets.values()) step(`target: ${name}, ${visible(files[name] ?? 'built in')}`);
  const looks = await findLooks(loaded.manifest, loaded.folder);
  for (const { path, fault } of looks.values())
    step(`look: ${visible(path)}${fault === undefined ? '' : `: ${fault}`}`);
  for (const folder of known.lists.keys()) step(`hash list of ${visible(folder)}`);
  const more = [
    ...copiesNote(loaded.manifest),
    ...(await sameContentNotes(root, clips, known)),
    ...unlistedNote(known.unlisted.map((path) => relative(root, path))),
    ...gone.notes,
  ];
  const inFolder = async (): Promise<Prepared> => {
    const earlierMark = await planMark(out);
    const earlier = options.replace === true ? null : await earlierPlan(out);
    const own = clips.map(({ file }) => ({ path: join(root, file), file }));
    const naming = earlier === null ? undefined : namingIn(earlier, own, basename(root));
    const planned = planBatch({
      manifest: { ...loaded.manifest, clips },
      unread,
      root,
      out,
      targets,
      chosen: options.targets,
      targetFiles: files,
      capabilities,
      version,
      looks,
      listed: known.hashes,
      refuseLosses: options.refuseLosses,
      naming,
      workers: options.workers ?? defaultWorkers(),
    });
    const replaced = options.replace === true ? await readPlan(out) : null;
    const unmade = [...unreadable, ...gone.clips].map(({ file }) => ({ clip: file, target: null }));
    const left = replaced === null ? [] : leftOf(replaced, planned.jobs, [...planned.refused, ...unmade]);
    const plan = { ...planned, left, notes: [...planned.notes, ...more] };
    const asked = { plan, unreadable: [...unreadable, ...gone.clips] };
    const joined = await joinBatch(earlier, asked, { input, place: naming?.place ?? '' });
    return { ...joined, capabilities, warnings: gone.notes, version, earlierMark, again: inFolder };
  };
  return inFolder();
}

function keepOnly(manifest: Manifest, only: PrepareOptions['only']): Manifest {
  if (only === undefined) return manifest;
  const { clips, unreadable, leftOut } = manifest;
  const kept = <Each extends { readonly file: string }>(all: Each[] = []): Each[] =>
    all.filter(({ file }) => only(file));
  return { ...manifest, clips: kept(clips), unreadable: kept(unreadable), leftOut: kept(leftOut) };
}

/** Nothing is left out without a word, also where no manifest was written. */
function copiesNote({ leftOut = [], clips }: Manifest): string[] {
  const made = new Set(clips.map(({ file }) => file));
  const copies = leftOut.filter(({ file, of }) => of !== undefined && !made.has(file));
  if (copies.length === 0) return [];
  const names = firstOf(
    copies.map(({ file }) => file),
    3,
  );
  return [
    `left out: ${count(copies.length, 'low-resolution copy', 'low-resolution copies')}: ${names}; list them under clips to use them`,
  ];
}

/** Beside the manifest or the folder, never inside the card: originals stay as they are. */
function defaultOut(input: string, folderGiven: boolean, batches: string | undefined): string {
  const name = folderGiven ? basename(input) : basename(input).replace(/\.[^.]+$/, '');
  return join(batches ?? dirname(input), `${name}-goodgate`);
}
