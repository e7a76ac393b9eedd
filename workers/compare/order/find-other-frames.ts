import { setImmediate } from 'node:timers/promises';
import type { Signatures } from '../../measure/picture/signature/packed-signature.js';
import type { FrameRun } from '../whole/frames-apart.js';

/** Frames of a copy that show another frame of the original, in a row. */
export interface OtherFrames extends FrameRun {
  /** The frame of the original that the first of them shows; null: none that was looked at. */
  readonly shows: number | null;
}

export interface FramesFound {
  /** Frames that were compared. */
  readonly frames: number;
  readonly apart: readonly OtherFrames[];
  /** Frames less like the original than others around them: a person should look. */
  readonly doubtful: readonly FrameRun[];
  /** Frames so like the one before or after that their order cannot be told, nor need be. */
  readonly alike: number;
  /** Usual RMS difference of a frame to its original, as a signal. */
  readonly usual: number;
}

export interface OrderOptions {
  /** Frames of the original that a frame of the copy may show; left out: the one of its number. */
  readonly expected?: ((frame: number) => readonly number[]) | undefined;
  /** Whether the coder of the copy may keep parts of the frames before. */
  readonly isInert: boolean;
}

/** Differences below this are none, as a signal: a tenth of a code at 8 bits, two steps of a signature. */
const LEAST = 0.0004;
/** Another frame is shown where it fits this many times better than the frame's own (RMS). */
const BETTER = 2;
/**
 * A coder that keeps parts of the frames before shows what little changed too late: below this, as a signal,
 * and below so many times the usual difference, that explains it (chosen by copies of slow ramps, no source).
 */
const INERT = 0.01;
const INERT_TIMES = 2;
/** Where at least this share of the moving frames came back exactly, nothing is kept of others. */
const EXACT_SHARE = 0.1;
const EXACT = 0.0002;
const MOVING = 0.001;
/** No frame of the original: off by this, as a signal, and by so many times the usual difference. */
const FOREIGN = 0.01;
const TIMES = 6;
/** In doubt from here on. A copy without loss differs nowhere: there the least difference counts. */
const DOUBTFUL = 0.002;
const DOUBTFUL_TIMES = 8;
/** Frames on either side with which a frame is compared in doubt. */
const AROUND = 12;
/** Distances at which other frames are looked for: all near ones, some far ones and then those around. */
const NEAR = 12;
const FAR = [16, 24, 32, 48, 64, 96, 128, 192, 256, 384, 512];
const DISTANCES = [...Array.from({ length: NEAR }, (_, i) => i + 1), ...FAR];
const FINE = 32;
/** Frames of another picture that are looked for in the whole original. */
const MOST_SEARCHES = 40;
/** Frames between which others get their turn. */
const AT_ONCE = 500;

/**
 * Finds the frames of a copy that are not the frames of its original: repeated, swapped, replaced, or all
 * from where one was lost. Identical frames may stand in any order.
 */
export async function findOtherFrames(
  original: Signatures,
  copy: Signatures,
  { expected = (frame) => [frame], isInert }: OrderOptions,
): Promise<FramesFound> {
  const frames = Math.min(copy.frames, original.frames);
  const looks = new Comparing(original, copy);
  const own = new Float64Array(frames);
  const step = new Float64Array(frames);
  for (let frame = 0; frame < frames; frame++) {
    if (frame % AT_ONCE === 0) await setImmediate();
    own[frame] = Math.min(...expected(frame).map((each) => looks.difference(frame, each)));
    step[frame] = looks.step(expected(frame)[0] ?? frame);
  }
  const usual = own.toSorted()[Math.floor((frames - 1) / 2)] ?? 0;
  const keepsParts = isInert && !isExact(own, step);
  const least = keepsParts ? Math.max(INERT, INERT_TIMES * usual) : LEAST;
  const shown: (number | null | undefined)[] = [];
  let shift = 0;
  let searches = 0;
  for (let frame = 0; frame < frames; frame++) {
    if (frame % AT_ONCE === 0) await setImmediate();
    const is = own[frame] ?? 0;
    if (is < least) continue;
    const expects = expected(frame);
    const other = looks.other(frame, { expects, most: is / BETTER, shift });
    if (other !== null) {
      shown[frame] = other;
      shift = other - frame;
    } else if (is > Math.max(FOREIGN, TIMES * usual)) {
      shown[frame] = searches++ < MOST_SEARCHES ? await looks.anywhere(frame, is / BETTER) : null;
      const found = shown[frame] ?? null;
      if (found !== null) shift = found - frame;
    }
  }
  return {
    ...{ frames, usual },
    apart: runsShown(shown, frames),
    doubtful: doubtfulRuns(own, shown, keepsParts ? FOREIGN : DOUBTFUL),
    alike: step.filter((each) => each < Math.max(LEAST, BETTER * usual)).length,
  };
}

/** Whether a copy is without loss, whatever its coder can do. */
function isExact(own: Float64Array, step: Float64Array): boolean {
  let [moving, same] = [0, 0];
  for (const [frame, is] of own.entries()) {
    if ((step[frame] ?? 0) < MOVING) continue;
    moving++;
    if (is < EXACT) same++;
  }
  return moving > 0 && same >= EXACT_SHARE * moving;
}

/** Usual difference from here on: another picture, or not upright. */
const OTHER_PICTURE = 0.06;

/** A copy that is off by so much throughout that the order of its frames cannot be told. */
export function isOtherPicture({ usual }: Pick<FramesFound, 'usual'>): boolean {
  return usual > OTHER_PICTURE;
}

/** Distances between frames of both files. */
class Comparing {
  readonly #a: Float64Array;
  readonly #b: Float64Array;

  constructor(
    readonly original: Signatures,
    readonly copy: Signatures,
  ) {
    this.#a = new Float64Array(original.values);
    this.#b = new Float64Array(original.values);
  }

  /** RMS difference of a frame of the copy to one of the original. */
  difference(frame: number, of: number): number {
    if (of < 0 || of >= this.original.frames) return Number.POSITIVE_INFINITY;
    this.original.read(of, this.#a);
    this.copy.read(frame, this.#b);
    return rms(this.#a, this.#b);
  }

  /** RMS difference of a frame of the original to the nearer of those beside it. */
  step(frame: number): number {
    let least = Number.POSITIVE_INFINITY;
    for (const beside of [frame - 1, frame + 1]) {
      if (beside < 0 || beside >= this.original.frames) continue;
      this.original.read(frame, this.#a);
      this.original.read(beside, this.#b);
      least = Math.min(least, rms(this.#a, this.#b));
    }
    return least;
  }

  /** The frame of the original that fits best, where one does so with at most `most`. */
  other(
    frame: number,
    {
      expects,
      most,
      shift,
    }: { readonly expects: readonly number[]; readonly most: number; readonly shift: number },
  ): number | null {
    // After a lost frame all others are shifted alike.
    if (shift !== 0 && !expects.includes(frame + shift) && this.difference(frame, frame + shift) <= most) {
      return frame + shift;
    }
    let best: number | null = null;
    let least = most;
    const look = (of: number): void => {
      if (expects.includes(of)) return;
      const is = this.difference(frame, of);
      if (is < least || (is === least && best === null)) [best, least] = [of, is];
    };
    const at = expects[0] ?? frame;
    for (const distance of DISTANCES) for (const sign of [-1, 1]) look(at + sign * distance);
    const near = best;
    if (near !== null && Math.abs(near - at) > NEAR) {
      for (let by = -FINE; by <= FINE; by++) look(near + by);
    }
    return best;
  }

  /** Of all frames of the original the one that fits best, where one does so with at most `most`. */
  async anywhere(frame: number, most: number): Promise<number | null> {
    let best: number | null = null;
    let least = most;
    for (let of = 0; of < this.original.frames; of++) {
      if (of % AT_ONCE === 0) await setImmediate();
      const is = this.difference(frame, of);
      if (is < least) [best, least] = [of, is];
    }
    return best;
  }
}

function rms(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += ((a[i] ?? 0) - (b[i] ?? 0)) ** 2;
  return Math.sqrt(sum / a.length);
}

/** Runs of frames that show others at one distance, or none of the original. */
function runsShown(shown: readonly (number | null | undefined)[], frames: number): OtherFrames[] {
  const runs: { from: number; to: number; shows: number | null }[] = [];
  for (let frame = 0; frame < frames; frame++) {
    const shows = shown[frame];
    if (shows === undefined) continue;
    const last = runs.at(-1);
    const goes = last?.to === frame && (last.shows === null) === (shows === null);
    if (goes && (shows === null || shows - frame === (last.shows ?? 0) - last.from)) last.to = frame + 1;
    else runs.push({ from: frame, to: frame + 1, shows });
  }
  return runs;
}

/** Frames that differ far more than those around them, and are not known to be others. */
function doubtfulRuns(
  own: Float64Array,
  shown: readonly (number | null | undefined)[],
  least: number,
): FrameRun[] {
  const runs: { from: number; to: number }[] = [];
  for (const [frame, is] of own.entries()) {
    if (is < least || shown[frame] !== undefined) continue;
    const around = own.slice(Math.max(0, frame - AROUND), frame + AROUND + 1).sort();
    if (is < DOUBTFUL_TIMES * (around[around.length >> 1] ?? 0)) continue;
    const last = runs.at(-1);
    if (last?.to === frame) last.to = frame + 1;
    else runs.push({ from: frame, to: frame + 1 });
  }
  return runs;
}
