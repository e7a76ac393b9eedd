import type { ListedHash } from '../jobs/hash-list/hash-format.js';
import { lookFile, type Manifest, type ManifestClip } from '../jobs/manifest/manifest.js';
import { slateOf } from '../jobs/manifest/slate.js';
import type { Capabilities } from '../jobs/plan/capabilities.js';
import { laidTracks } from '../jobs/plan/laid-sound.js';
import type { Severity } from '../jobs/plan/loss-severity.js';
import type { Plan, PlannedJob, PlannedOutput, Refusal } from '../jobs/plan/plan.js';
import type { Target } from '../jobs/targets/target.js';
import { resolveColour } from './clip-colour.js';
import { looksOfSeveralColours } from './clip-look.js';
import { contentKey } from './content-key.js';
import { doubtfulColours } from './doubtful-colour.js';
import { type Naming, totalsOf } from './join-plans.js';
import { refusedLoss } from './losses/refuse-losses.js';
import { ClipNames, OutputPaths } from './output-path.js';
import { type ClipWish, planRecipe } from './plan-output.js';
import { below, type JobTools, plannedClipOf, plannedJobOf } from './planned-job.js';
import { type KnownLook, plannedOutputOf } from './planned-output.js';
import { applyRules } from './rules.js';
import { SharedValues } from './shared-values.js';
import { laidWords } from './sound/laid-words.js';
import { soundToLay, statingSound, type UnreadClip } from './sound/lay-sound.js';
import { isBesidePictures, NO_PICTURE, soundApartIn, soundNote } from './sound/sound-apart.js';
import { defaultSound } from './sound/sound-tracks.js';
import { timecodeFaultOf, withStated, withStatedScan } from './stated-facts.js';

const NOT_LOOKED_FOR: KnownLook = { path: '', fault: 'it was not looked for' };

export interface PlanRequest {
  readonly manifest: Manifest;
  /** Clips of the manifest that cannot be read now, which are not among those of `manifest`. */
  readonly unread?: readonly UnreadClip[] | undefined;
  /** Absolute folder that the paths of clips start from. */
  readonly root: string;
  /** Absolute folder of the batch. */
  readonly out: string;
  /** Every target of any clip, by the name used in the manifest. */
  readonly targets: ReadonlyMap<string, Target>;
  /**
   * Targets for every clip, given on the command line; they replace those of the manifest. Empty: the
   * manifest decides.
   */
  readonly chosen: readonly string[];
  /** Where those that are not built in were read from, by their own name. */
  readonly targetFiles?: Readonly<Record<string, string>>;
  readonly capabilities: Capabilities;
  /** Version of goodgate: part of every key, since another version may make a different picture. */
  readonly version: string;
  /** Every look the manifest names, by that name. */
  readonly looks: ReadonlyMap<string, KnownLook>;
  /** What the hash lists of their cards say of clips, by their absolute path. */
  readonly listed?: ReadonlyMap<string, ListedHash>;
  /** Outputs that lose so much or more are refused; left out: none. */
  readonly refuseLosses?: Severity | undefined;
  /** Names in a batch that has other clips already; without it each clip is called by its path. */
  readonly naming?: Naming | undefined;
  /** Jobs at once on this machine. */
  readonly workers: number;
}

function targetsOf(clip: ManifestClip, request: PlanRequest): readonly string[] {
  if (request.chosen.length > 0) return request.chosen;
  return clip.targets ?? request.manifest.defaults?.targets ?? [];
}

function wishOf(
  clip: ManifestClip,
  name: string,
  request: PlanRequest,
  { kept, stating }: { readonly kept: readonly ManifestClip[]; readonly stating: ReadonlySet<string> },
): { wish: ClipWish; assumed: readonly string[]; unfit: string | null } | Refusal {
  const refuse = (reason: string, next: string): Refusal => ({ clip: clip.file, target: null, reason, next });
  const facts = clip.facts;
  if (facts === undefined)
    return refuse(
      'the manifest has no facts of this clip',
      'run goodgate scan, or goodgate run, which scans first',
    );
  if (facts.video === null) return { clip: clip.file, target: null, ...NO_PICTURE };
  const defaults = request.manifest.defaults;
  const writtenLook = clip.look === undefined ? defaults?.look : (clip.look ?? undefined);
  const lookName = writtenLook === undefined ? undefined : lookFile(writtenLook);
  const look = lookName === undefined ? null : (request.looks.get(lookName) ?? NOT_LOOKED_FOR);
  if (facts.sequence === undefined && clip.frameRate !== undefined) {
    return refuse(
      'the manifest states a frame rate, and it is no picture sequence',
      'take frameRate out; a target can convert the rate',
    );
  }
  const stated = withStated(facts, facts.video, {
    sampleAspect: clip.sampleAspect ?? defaults?.sampleAspect,
    frameRate: clip.frameRate ?? defaults?.frameRate,
  });
  const { video } = stated;
  const { colour, assumed } = resolveColour(video, { ...defaults?.colour, ...clip.colour });
  const startTimecode = clip.startTimecode ?? null;
  const fault = startTimecode === null ? null : timecodeFaultOf(startTimecode, video.frameRate);
  if (fault !== null)
    return refuse(`startTimecode of the manifest is none: ${fault}`, 'correct it in the manifest');
  const laying = soundToLay({
    from: clip.soundFrom === undefined ? defaults?.soundFrom : clip.soundFrom,
    isOwn: stating.has(clip.file),
    facts: stated,
    startTimecode: startTimecode ?? facts.container.startTimecode,
    ...{ clips: request.manifest.clips, kept, unread: request.unread ?? [] },
    pathOf: (file) => below(request.root, file),
  });
  const laid = laying.ok ? laying.laid : null;
  const tracks = laid === null ? facts.audio : laidTracks(laid).map((track) => track.facts);
  const sound = clip.sound === undefined ? defaultSound(tracks, defaults?.sound) : { choice: clip.sound };
  return {
    assumed,
    unfit: sound.unfit ?? null,
    wish: {
      name,
      file: clip.file,
      parts: clip.parts ?? [],
      facts: stated,
      video,
      colour,
      look:
        look && writtenLook !== undefined
          ? { path: look.path, written: writtenLook, fault: look.fault ?? null }
          : null,
      exposure: clip.exposure ?? defaults?.exposure ?? 0,
      scan: clip.scan ?? defaults?.scan ?? video.scan ?? 'progressive',
      ...{ sound: sound.choice, laying },
      reel: clip.reel ?? null,
      startTimecode,
    },
  };
}

/**
 * Turns a manifest and targets into jobs for the ffmpeg of this machine, in the order of the manifest. Pure:
 * reads no file, starts nothing. What cannot be made is in `refused`, with the reason and what to do instead.
 */
export function planBatch(request: PlanRequest): Plan {
  const { manifest, capabilities } = request;
  const jobs: PlannedJob[] = [];
  const refused: Refusal[] = [];
  const ruled = applyRules(manifest);
  const stating = statingSound(manifest.clips);
  const notes: string[] = [...ruled.notes];
  const paths = new OutputPaths();
  const shared = new SharedValues();
  const clipNames = new ClipNames();
  const cores = Math.max(1, capabilities.cores / request.workers);
  const seen = new Set<string>();
  const sound: ManifestClip[] = [];
  /** Sound that is laid, by its file, with the clips it is laid into. */
  const used = new Map<string, string[]>();

  for (const clip of ruled.clips) {
    if (seen.has(clip.file)) {
      notes.push(`${clip.file} is in the manifest twice; the first entry is used`);
      continue;
    }
    seen.add(clip.file);
    const names = targetsOf(clip, request);
    if (isBesidePictures(clip, names, request)) {
      sound.push(clip);
      continue;
    }
    if (names.length === 0) {
      refused.push({
        clip: clip.file,
        target: null,
        reason: 'it has no target',
        next: 'name one with --target or in the manifest (targets:)',
      });
      continue;
    }
    const wanted = request.naming?.known.get(below(request.root, clip.file));
    const own = wanted ?? `${request.naming?.place ?? ''}${clip.file}`;
    const called = clipNames.claim(own);
    if (called !== own)
      notes.push(
        `${clip.file}: called ${called} in the batch, since many file systems take it for a name that another clip has`,
      );
    const resolved = wishOf(clip, called, request, { kept: ruled.clips, stating });
    if ('reason' in resolved) {
      refused.push(resolved);
      continue;
    }
    const { wish, assumed, unfit } = resolved;
    if (assumed.length > 0)
      notes.push(
        `${called}: assumed ${assumed.join(', ')}; if that is wrong, set it in the manifest (colour:)`,
      );

    if (wish.video.scan === null && (clip.scan ?? manifest.defaults?.scan) === undefined) {
      const stated = wish.facts.notes.find((note) => note.startsWith('scan:'));
      const why = stated ?? 'the file does not declare whether it is interlaced';
      notes.push(`${called}: ${why}; assumed progressive; if that is wrong, set it in the manifest (scan:)`);
    }

    const outputs: PlannedOutput[] = [];
    const judge: PlannedJob['judge'] = [];
    for (const name of new Set(names)) {
      const target = request.targets.get(name);
      if (target === undefined) {
        refused.push({
          clip: clip.file,
          target: name,
          reason: 'no such target',
          next: 'goodgate targets lists them',
        });
        continue;
      }
      if (target.make === undefined) {
        judge.push({ target: target.name, require: target.require ?? {} });
        continue;
      }
      const result = planRecipe(wish, target.make, capabilities);
      if (!result.ok) {
        refused.push({ clip: clip.file, target: target.name, reason: result.reason, next: result.next });
        continue;
      }
      const output = shared.inOutput(
        plannedOutputOf(
          { target: target.name, make: target.make, require: target.require ?? {}, recipe: result.recipe },
          { wish, path: paths.claim(target.name, wish.name, target.make.container), cores },
          { tools: toolsOf(request), looks: request.looks },
        ),
      );
      const lost = refusedLoss(output, request.refuseLosses);
      if (lost !== null) refused.push({ clip: clip.file, target: target.name, ...lost });
      else outputs.push(output);
    }
    // It matters only where tracks are chosen from.
    if (unfit !== null && outputs.some(({ recipe }) => recipe.audio?.stereo))
      notes.push(`${called}: ${unfit}`);
    const laid = outputs.map(({ recipe }) => recipe.audio?.laid).find((each) => each !== undefined);
    if (laid !== undefined) {
      for (const { name } of laid) used.set(name, [...(used.get(name) ?? []), called]);
      notes.push(...laidWords(laid).map((words) => `${called}: ${words}`));
    }
    // Of a clip without sound too: it may have been meant to get some.
    if (wish.laying.ok && names.some((name) => request.targets.get(name)?.make?.audio !== undefined))
      notes.push(...wish.laying.notes.map((note) => `${called}: ${note}`));
    if (outputs.length === 0 && judge.length === 0) continue;
    const original = withStatedScan(wish, clip.scan ?? manifest.defaults?.scan);
    jobs.push(
      plannedJobOf(
        plannedClipOf(original, slateOf(clip), request),
        { outputs, judge },
        toolsOf(request),
        cores,
      ),
    );
  }
  // Where there is nothing else it is what was asked for.
  if (jobs.length > 0)
    notes.push(
      ...soundNote(
        sound.filter(({ file }) => !used.has(file)),
        manifest.clips,
      ),
    );
  else for (const { file } of sound) refused.push({ clip: file, target: null, ...NO_PICTURE });
  return {
    schema: 'goodgate/plan@1',
    id: contentKey({ jobs: jobs.map((job) => job.id), out: request.out }),
    title: manifest.title,
    root: request.root,
    out: request.out,
    joined: [],
    jobs,
    refused,
    skipped: [...ruled.skipped],
    soundApart: soundApartIn(ruled.clips, manifest.clips, used),
    left: [],
    manifests: [],
    notes: [...notes, ...doubtfulColours(jobs), ...looksOfSeveralColours(jobs)],
    targetFiles: { ...request.targetFiles },
    totals: totalsOf(jobs, request.workers),
  };
}

function toolsOf({ version, capabilities }: PlanRequest): JobTools {
  return { goodgate: version, ffmpeg: capabilities.ffmpegVersion };
}
