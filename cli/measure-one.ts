import { availableParallelism } from 'node:os';
import { resolve } from 'node:path';
import type { ClipFacts } from '../jobs/manifest/facts.js';
import type { ColourOverride } from '../jobs/manifest/manifest.js';
import type { Measurement } from '../jobs/measurement/measurement.js';
import { resolveColour } from '../planner/clip-colour.js';
import { hashBeside } from '../workers/hash-list/hash-beside.js';
import type { FrameFigures } from '../workers/measure/figures/frame-table.js';
import { measureFile } from '../workers/measure/measure-file.js';
import { nothingAsked } from '../workers/probe/asked.js';
import { probeWithBitstream } from '../workers/probe/probe-clip.js';
import type { Environment } from './environment.js';
import { goodgateVersion } from './version.js';

export interface MeasureOneOptions {
  readonly environment: Environment;
  readonly colour: ColourOverride | undefined;
  readonly signal: AbortSignal;
  readonly onFrameFigures?: ((figures: FrameFigures) => void) | undefined;
  readonly onProgress?: ((fraction: number) => void) | undefined;
}

/** Probes and measures one file, its colour read as tags and the caller say. */
export async function measureOne(
  file: string,
  options: MeasureOneOptions,
): Promise<{ measurement: Measurement; facts: ClipFacts }> {
  const path = resolve(file);
  const { tools } = options.environment;
  const asked = nothingAsked();
  const { facts, bitstream } = await probeWithBitstream(path, { tools, asked, signal: options.signal });
  const beside = await hashBeside({ path, facts }, options.signal);
  try {
    const measured = await measureFile(path, {
      ...{ facts, bitstream, asked },
      colour: facts.video === null ? null : resolveColour(facts.video, options.colour).colour,
      signal: options.signal,
      onFrameFigures: options.onFrameFigures,
      onProgress: (fraction) => {
        beside.reached(fraction);
        options.onProgress?.(fraction);
      },
      // One file at a time: it may use every core.
      parallelism: { here: availableParallelism() },
      version: goodgateVersion(),
      tools,
    });
    const hash = await beside.finish();
    return { measurement: { ...measured, file: { ...measured.file, hash } }, facts };
  } finally {
    await beside.stop();
  }
}
