import type { PlannedJob } from '../plan/plan.js';
import type { Learned } from './experience.js';
import { makingOf, measuringOf, type Reckoned, restOf, sizeOf, wholeOf } from './kinds.js';
import { modelPlanned } from './modelled.js';

/** What became of one clip, as far as it teaches anything. */
export interface CameOf {
  /** Keys of the outputs that were made, not found there. */
  readonly made: readonly string[];
  /** Bytes of each output, by its path below the batch folder. */
  readonly bytes: ReadonlyMap<string, number>;
  /** Seconds of the one decode, of measuring each output by its key, and of the whole clip. */
  readonly seconds: {
    readonly decode: number;
    readonly ofOutput: ReadonlyMap<string, number>;
    readonly whole: number;
  };
}

/**
 * What a finished job teaches. Of one that found outputs there sizes alone are learned: its times are those
 * of another piece of work. Pure.
 *
 * @param at milliseconds since 1970
 */
export function learnedFrom(job: PlannedJob, { made, bytes, seconds }: CameOf, at: number): Learned[] {
  const { clip, outputs } = job;
  const learned: Learned[] = [];
  const learn = ({ kind, reckoned }: Reckoned, came: number): void => {
    learned.push({ kind, reckoned, came, at });
  };
  for (const output of outputs) {
    const size = bytes.get(output.path);
    if (!made.includes(output.key) || size === undefined) continue;
    learn(sizeOf(output, clip), size - modelPlanned(output, clip).soundBytes);
  }
  if (made.length !== outputs.length) return learned;
  learn(makingOf(outputs, clip), seconds.decode);
  let known = seconds.decode;
  for (const output of outputs) {
    const took = seconds.ofOutput.get(output.key) ?? 0;
    known += took;
    learn(measuringOf(output, clip), took);
  }
  learn(restOf(job), seconds.whole - known);
  learn(wholeOf(job), seconds.whole);
  return learned;
}
