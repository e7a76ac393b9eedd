import { availableParallelism } from 'node:os';
import { resolve } from 'node:path';
import { GoodgateError } from '../jobs/errors.js';
import type { ClipFacts } from '../jobs/manifest/facts.js';
import type { ColourOverride } from '../jobs/manifest/manifest.js';
import type { Measurement } from '../jobs/measurement/measurement.js';
import { resolveColour } from '../planner/clip-colour.js';
import { parseColour, type SignalColour } from '../signal/colour.js';
import type { FrameFigures } from '../workers/measure/figures/frame-table.js';
import { measureFile } from '../workers/measure/measure-file.js';
import { probeClip } from '../workers/probe/probe-clip.js';
import { type Environment, ffmpegOf } from './environment.js';
import { goodgateVersion } from './version.js';

export interface MeasureOneOptions {
  readonly environment: Environment;
  readonly colour: ColourOverride | undefined;
  readonly signal: AbortSignal;
  readonly onFrameFigures?: ((figures: FrameFigures) => void) | undefined;
  readonly onProgress?: ((fraction: number) => void) | undefined;
}

/** `--colour` on the command line: what the code values mean, where the file's tags do not say it. */
export function colourOption(text: string | undefined): ColourOverride | undefined {
  if (text === undefined) return undefined;
  let parsed: SignalColour;
  try {
    parsed = parseColour(text);
  } catch (error) {
    throw new GoodgateError('bad-option', {
      what: `--colour ${text}: ${error instanceof Error ? error.message : String(error)}`,
      next: 'write TRANSFER/PRIMARIES such as S-Log3/S-Gamut3.Cine, or one name for a standard pair such as bt709',
    });
  }
  return { transfer: parsed.transfer, primaries: parsed.primaries };
}

/** Probes and measures one file, its colour read as tags and the caller say. */
export async function measureOne(
  file: string,
  options: MeasureOneOptions,
): Promise<{ measurement: Measurement; facts: ClipFacts }> {
  const path = resolve(file);
  const facts = await probeClip(path, { ...ffmpegOf(options.environment), signal: options.signal });
  const measurement = await measureFile(path, {
    facts,
    colour: facts.video === null ? null : resolveColour(facts.video, options.colour).colour,
    signal: options.signal,
    onFrameFigures: options.onFrameFigures,
    onProgress: options.onProgress,
    // One file at a time: the whole machine is this one's.
    hands: { here: availableParallelism() },
    version: goodgateVersion(),
    ffmpegPath: options.environment.ffmpegPath,
  });
  return { measurement, facts };
}
