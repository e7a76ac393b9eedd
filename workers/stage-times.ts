/** Stages of a clip whose time is told apart. */
export const STAGES = ['decode', 'measure', 'compare', 'judge'] as const;
export type Stage = (typeof STAGES)[number];

/**
 * How long each stage of one clip took, in seconds. `decode` is the one decode that makes the outputs and
 * measures the clip itself; `measure` that of each output that was made, also by its key.
 */
export class StageTimes {
  readonly seconds: Record<Stage, number> = { decode: 0, measure: 0, compare: 0, judge: 0 };
  /** Seconds that measuring an output took, by its key. */
  readonly ofOutput = new Map<string, number>();

  async during<T>(stage: Stage, work: () => Promise<T>, output?: string): Promise<T> {
    const started = performance.now();
    try {
      return await work();
    } finally {
      const seconds = (performance.now() - started) / 1000;
      this.seconds[stage] += seconds;
      if (output !== undefined) this.ofOutput.set(output, seconds);
    }
  }
}
