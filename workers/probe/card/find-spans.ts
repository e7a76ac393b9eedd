import type { ClipFacts } from '../../../jobs/manifest/facts.js';
import type { ManifestClip } from '../../../jobs/manifest/manifest.js';
import { parseRational, toNumber } from '../../../signal/rational.js';
import { advanceTimecode, formatTimecode, parseTimecode } from '../../../signal/timecode.js';
import { formatOf, joinFacts } from '../../sequence/join-facts.js';

/**
 * Parts of one take, known by what they are and never by who wrote them: numbered files of one folder and one
 * format, each beginning with the timecode after the last of the one before, and each but the last as large
 * as a file can be. Without that size they may as well be takes of a camera whose timecode runs only while
 * it records: then they stay apart, and it is said.
 */
export interface Spans {
  /** The clips, those of a take as one. */
  readonly clips: ManifestClip[];
  /** Runs of files that may be one take, and why that is not sure. */
  readonly doubtful: readonly { readonly files: readonly string[]; readonly why: string }[];
}

/** Where recorders begin another file: 2 and 4 GiB, and 4 GB (common practice, no source). */
const LIMITS = [2 ** 31, 2 ** 32, 4e9] as const;
/** A file ends with a whole frame, and its index comes after it. */
const NEAR_LIMIT = 0.97;

type WithFacts = ManifestClip & { readonly facts: ClipFacts };

export function findSpans(clips: readonly ManifestClip[]): Spans {
  const next = followers(clips);
  const isFollower = new Set<ManifestClip>(next.values());
  const joined = new Map<ManifestClip, readonly WithFacts[]>();
  const doubtful: { files: string[]; why: string }[] = [];
  for (const clip of clips) {
    if (isFollower.has(clip) || !next.has(clip) || !hasFacts(clip)) continue;
    const run = runFrom(clip, next);
    const why = doubtOf(run);
    if (why === null) joined.set(clip, run);
    else doubtful.push({ files: run.map(({ file }) => file), why });
  }
  const within = new Set<ManifestClip>([...joined.values()].flatMap((run) => run.slice(1)));
  return {
    clips: clips
      .filter((clip) => !within.has(clip))
      .map((clip) => {
        const run = joined.get(clip);
        if (run === undefined) return clip;
        const parts = run.slice(1).map(({ file }) => file);
        return {
          file: clip.file,
          parts,
          facts: joinFacts(
            clip.file,
            run.map(({ facts }) => facts),
          ),
        };
      }),
    doubtful,
  };
}

/** Why files that go on where another ends may be no parts of one take; null: they are. */
function doubtOf(run: readonly WithFacts[]): string | null {
  if (!run.slice(0, -1).every(isCutBySize))
    return 'a camera whose timecode runs while it records does so too';
  if (new Set(run.map(({ file }) => folderOf(file))).size > 1) {
    return 'they lie in different folders, as the slots of one recorder do, and cameras with one timecode';
  }
  const isCoded = run.some(({ facts }) => facts.audio.some(({ codec }) => !codec.startsWith('pcm_')));
  if (isCoded) return 'their sound is coded in packets, which may not meet to the sample';
  return run.every(hasExactSound) ? null : 'their sound is not as long as their picture';
}

function folderOf(file: string): string {
  return file.slice(0, file.lastIndexOf('/') + 1);
}

function runFrom(clip: WithFacts, next: ReadonlyMap<ManifestClip, WithFacts>): WithFacts[] {
  const run = [clip];
  for (let at = next.get(clip); at !== undefined; at = next.get(at)) run.push(at);
  return run;
}

/** Which clip goes on where another ends: with the next number in its name, at the next timecode. */
function followers(clips: readonly ManifestClip[]): Map<ManifestClip, WithFacts> {
  const byName = new Map(clips.map((clip) => [clip.file, clip]));
  const elsewhere = new Map<string, ManifestClip[]>();
  for (const clip of clips) {
    const name = clip.file.slice(folderOf(clip.file).length);
    elsewhere.set(name, [...(elsewhere.get(name) ?? []), clip]);
  }
  const found = new Map<ManifestClip, WithFacts>();
  for (const clip of clips) {
    const after = nextNames(clip.file).map((name) => byName.get(name));
    const beside = after.find((other) => other !== undefined && continues(clip, other));
    const follower = beside ?? inOtherSlot(clip, elsewhere);
    if (hasFacts(follower)) found.set(clip, follower);
  }
  return found;
}

/** In another folder only what goes on after a file as large as can be, and only where it is the only one. */
function inOtherSlot(
  clip: ManifestClip,
  byName: ReadonlyMap<string, readonly ManifestClip[]>,
): ManifestClip | undefined {
  if (!hasFacts(clip) || !isCutBySize(clip)) return undefined;
  const folder = folderOf(clip.file);
  const found = nextNames(clip.file)
    .flatMap((name) => byName.get(name.slice(folder.length)) ?? [])
    .filter((other) => folderOf(other.file) !== folder && continues(clip, other));
  return found.length === 1 ? found[0] : undefined;
}

function hasFacts(clip: ManifestClip | undefined): clip is WithFacts {
  return clip?.facts !== undefined;
}

/** Digits of the number of a clip that may follow a number of its part without anything between. */
const CLIP_DIGITS = 4;

/**
 * The name with each of its numbers one higher, as many digits as before; of a long number also with what
 * stands before the last four digits one higher.
 */
function nextNames(file: string): string[] {
  const slash = file.lastIndexOf('/') + 1;
  const dot = file.lastIndexOf('.');
  const stem = file.slice(slash, dot > slash ? dot : undefined);
  return [...stem.matchAll(/\d{1,12}/g)].flatMap(({ 0: digits, index }) => {
    const steps = digits.length > CLIP_DIGITS ? [1, 10 ** CLIP_DIGITS] : [1];
    return steps.map((step) => {
      const higher = String(Number(digits) + step).padStart(digits.length, '0');
      const at = slash + index;
      return file.slice(0, at) + higher + file.slice(at + digits.length);
    });
  });
}

function continues(clip: ManifestClip, other: ManifestClip): boolean {
  if (!hasFacts(clip) || !hasFacts(other) || clip.facts.sequence !== undefined) return false;
  const { video, container } = clip.facts;
  const rate = parseRational(video?.frameRate ?? '');
  if (video?.frames == null || rate === null || container.startTimecode === null) return false;
  const start = parseTimecode(container.startTimecode, rate).timecode;
  if (start === null || formatOf(clip.facts) !== formatOf(other.facts)) return false;
  return formatTimecode(advanceTimecode(start, video.frames)) === other.facts.container.startTimecode;
}

function isCutBySize({ facts: { bytes } }: WithFacts): boolean {
  return LIMITS.some((limit) => bytes <= limit && bytes > NEAR_LIMIT * limit);
}

/** Sound that can be put end to end: single samples, as long as the picture to half a frame. */
function hasExactSound({ facts: { video, audio } }: WithFacts): boolean {
  const rate = parseRational(video?.frameRate ?? '');
  const half = rate === null ? 0 : 0.5 / toNumber(rate);
  return audio.every(
    ({ codec, durationSeconds }) =>
      codec.startsWith('pcm_') &&
      Math.abs((durationSeconds ?? 0) - (video?.durationSeconds ?? Number.POSITIVE_INFINITY)) < half,
  );
}
