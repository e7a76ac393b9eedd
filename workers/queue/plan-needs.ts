import { access, stat } from 'node:fs/promises';
import type { Plan } from '../../jobs/plan/plan.js';
import { readPlan } from '../batch/assemble.js';
import { below, PLAN_FILE } from '../batch/folder.js';

/** What a batch asks of a machine; small however many clips the plan has. */
export interface PlanNeeds {
  /** Absolute folders that the originals lie in. */
  readonly roots: readonly string[];
  /** Codecs of pictures and sound to be decoded. */
  readonly codecs: readonly string[];
  readonly encoders: readonly string[];
  /** Whether a name or timecode is burnt in. */
  readonly font: boolean;
  /** Paths of some clips, from all over the plan. */
  readonly someClips: readonly string[];
}

/** Pure. */
export function needsOf({ root, joined, jobs }: Pick<Plan, 'root' | 'joined' | 'jobs'>): PlanNeeds {
  const codecs = new Set<string>();
  const encoders = new Set<string>();
  let font = false;
  for (const { clip, outputs } of jobs) {
    const { video, audio } = clip.facts;
    for (const { codec } of [...(video === null ? [] : [video]), ...audio]) codecs.add(codec);
    for (const { recipe } of outputs) {
      encoders.add(recipe.video.encoder);
      font ||= recipe.burnIn !== null;
      for (const sound of recipe.audio?.laid ?? []) for (const { codec } of sound.audio) codecs.add(codec);
    }
  }
  const step = Math.max(1, Math.ceil(jobs.length / SOME_CLIPS));
  const someClips = jobs.filter((_, index) => index % step === 0).map(({ clip }) => clip.path);
  return { roots: [root, ...joined], codecs: [...codecs], encoders: [...encoders], font, someClips };
}

const SOME_CLIPS = 64;
/** More open batches than a worker ever has. */
const PLANS_AT_MOST = 500;
/** A plan of many clips is not looked through again sooner, while none of it is to be seen. */
const LOOK_THROUGH_MS = 10 * 60_000;

interface Known {
  /** Of the file that was read: a plan is only ever replaced as a whole. */
  readonly stamp: string;
  readonly needs: PlanNeeds;
  /** A clip that was seen last. */
  seen: string | null;
  /** When every clip was looked for, and none was there (performance.now). */
  lookedThroughAt: number;
}

/**
 * Plans as far as a worker has to know them again and again. The plan of a batch is read when it is new and
 * when its file has changed; else only looked at.
 */
export class KnownPlans {
  readonly #known = new Map<string, Known>();

  /** What the batch in a folder asks of a machine; null where its plan cannot be read. */
  async needs(out: string): Promise<PlanNeeds | null> {
    return (await this.#know(out))?.needs ?? null;
  }

  /**
   * Whether a clip of the batch in a folder is to be seen, which proves that the volume of the originals is
   * mounted; null where its plan cannot be read.
   */
  async isAnySeen(out: string): Promise<boolean | null> {
    const known = await this.#know(out);
    if (known === null) return null;
    const likely = known.seen === null ? [] : [known.seen];
    known.seen = await firstThere([...likely, ...known.needs.someClips]);
    if (known.seen !== null) return true;
    if (performance.now() - known.lookedThroughAt < LOOK_THROUGH_MS) return false;
    const plan = await readPlan(out);
    if (plan === null) return null;
    known.seen = await firstThere(plan.jobs.map(({ clip }) => clip.path));
    if (known.seen === null) known.lookedThroughAt = performance.now();
    return known.seen !== null;
  }

  async #know(out: string): Promise<Known | null> {
    const stamp = await stampOf(below(out, PLAN_FILE));
    const known = this.#known.get(out);
    if (known?.stamp === stamp) return known;
    this.#known.delete(out);
    const plan = stamp === null ? null : await readPlan(out);
    // One that is replaced while it is read is read again next time.
    if (plan === null || stamp === null) return null;
    const never = Number.NEGATIVE_INFINITY;
    const fresh: Known = { stamp, needs: needsOf(plan), seen: null, lookedThroughAt: never };
    this.#known.set(out, fresh);
    const [oldest] = this.#known.keys();
    if (this.#known.size > PLANS_AT_MOST && oldest !== undefined) this.#known.delete(oldest);
    return fresh;
  }
}

async function stampOf(path: string): Promise<string | null> {
  return stat(path, { bigint: true }).then(
    ({ ino, size, mtimeNs }) => `${ino} ${size} ${mtimeNs}`,
    () => null,
  );
}

async function firstThere(paths: readonly string[]): Promise<string | null> {
  for (const path of paths) {
    const isThere = await access(path).then(
      () => true,
      () => false,
    );
    if (isThere) return path;
  }
  return null;
}
