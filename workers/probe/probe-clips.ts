import { availableParallelism } from 'node:os';
import { GoodgateError } from '../../jobs/errors.js';
import type { ClipFacts } from '../../jobs/manifest/facts.js';
import { atOnce } from '../at-once.js';
import { probeClip } from './probe-clip.js';
import type { ProbeOptions } from './run-ffprobe.js';

/** The facts of a clip, or why it could not be read. */
export type Probed = { readonly facts: ClipFacts } | { readonly reason: string };

export interface ProbeManyOptions extends ProbeOptions {
  readonly onProgress?: ((done: number, total: number) => void) | undefined;
}

/** Probing waits more than it computes. */
const LEAST_AT_ONCE = 2;

/**
 * Probes clips in parallel, as many as there are cores, and returns the results in order. A fault of one clip
 * does not affect the others.
 *
 * Throws GoodgateError `missing-tool`, `interrupted`.
 */
export function probeClips(paths: readonly string[], options: ProbeManyOptions): Promise<Probed[]> {
  let done = 0;
  return atOnce(Math.max(LEAST_AT_ONCE, availableParallelism()), paths, async (path) => {
    const probed = await probeOne(path, options);
    done += 1;
    options.onProgress?.(done, paths.length);
    return probed;
  });
}

async function probeOne(path: string, options: ProbeManyOptions): Promise<Probed> {
  // A signal of its own for each clip: Node warns of a leak when many listeners share one.
  const signal = options.signal && AbortSignal.any([options.signal]);
  try {
    return { facts: await probeClip(path, { ...options, signal }) };
  } catch (error) {
    const isOneFile =
      error instanceof GoodgateError && error.code !== 'interrupted' && error.code !== 'missing-tool';
    if (!isOneFile || options.signal?.aborted) throw error;
    return { reason: error.what };
  }
}
