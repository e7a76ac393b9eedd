import type { ColourOverride } from '../jobs/manifest/manifest.js';
import type { Measurement } from '../jobs/measurement/measurement.js';
import type { Target } from '../jobs/targets/target.js';
import type { Verdict } from '../jobs/verdict/verdict.js';
import type { Log } from '../workers/clip-context.js';
import type { Environment } from './environment.js';

/** What was asked of every file of a check. */
export interface CheckAsked {
  readonly targets: readonly Target[];
  readonly colour: ColourOverride | undefined;
  readonly environment: Environment;
  readonly signal: AbortSignal;
  readonly log: Pick<Log, 'debug'>;
}

/** One file held against every target asked for. */
export interface CheckedFile {
  readonly path: string;
  /** Null when the file cannot be read at all: the verdicts then say so. */
  readonly measurement: Measurement | null;
  readonly verdicts: readonly Verdict[];
  readonly seconds: number;
}
