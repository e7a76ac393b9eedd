import { resolve } from 'node:path';
import type { AskOptions } from '../capabilities/ask-ffmpeg.js';
import type { Check } from './check.js';
import { ffmpegChecks } from './ffmpeg-checks.js';
import { coresCheck, folderCheck, memoryCheck, nodeCheck, pipeCheck } from './machine-checks.js';
import { redisChecks } from './redis-checks.js';

export interface ExamineOptions extends Pick<AskOptions, 'tools'> {
  /** A Redis server somebody named; left out, a private one is meant. */
  readonly redisUrl?: string | null | undefined;
  readonly stateFolder: string;
  readonly outFolder?: string | undefined;
}

/**
 * What this machine can and cannot do, each with the fix. Changes nothing, and asks everything anew: a cached
 * answer would hide what was just repaired. Never throws for what it finds.
 */
export async function examine(options: ExamineOptions): Promise<Check[]> {
  const groups = await Promise.all([
    nodeCheck(process.version),
    ffmpegChecks({ tools: options.tools }),
    redisChecks(options.redisUrl ?? undefined),
    folderCheck('state folder', resolve(options.stateFolder)),
    options.outFolder === undefined ? [] : folderCheck('output folder', resolve(options.outFolder)),
    pipeCheck(),
    coresCheck(),
    memoryCheck(),
  ]);
  return groups.flat();
}
