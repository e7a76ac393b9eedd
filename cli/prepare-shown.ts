import { correctPlan } from '../jobs/experience/correct.js';
import type { Severity } from '../jobs/plan/loss-severity.js';
import { siteExperience } from './experience/site-experience.js';
import type { TimeOfDay } from './plan/next-time.js';
import { type Prepared, type PrepareOptions, preparePlan } from './prepare-plan.js';
import { scanProgress } from './progress/scan-progress.js';

/** Options of every command that plans, as commander gives them. */
export interface PlanOptions {
  target: string[];
  out?: string;
  batches?: string;
  targetFolder?: string;
  jobs?: number;
  /** Server whose workers know what finished work came to. */
  redis?: string;
  by?: TimeOfDay;
  refuseLosses?: Severity;
  replace?: boolean;
}

/**
 * `preparePlan` of a command, with the scan's progress on the terminal; its line is gone however it ends.
 * Sizes and times are as finished work of this site has them.
 */
export async function prepareShown(
  input: string,
  { target, out, batches, targetFolder, jobs, redis, refuseLosses, replace }: PlanOptions,
  context: Pick<PrepareOptions, 'environment' | 'signal'>,
): Promise<Prepared> {
  const scanning = scanProgress();
  try {
    const prepared = await preparePlan({
      ...{ input, targets: target, out, batches, targetFolder, workers: jobs, refuseLosses, replace },
      ...context,
      onScan: scanning.update,
    });
    return await withExperience(prepared, context.environment, redis);
  } finally {
    scanning.stop();
  }
}

/** A plan with the sizes and times that finished work of this site came to. */
export async function withExperience(
  prepared: Prepared,
  { stateFolder, redisUrl }: Pick<PrepareOptions['environment'], 'stateFolder' | 'redisUrl'>,
  redis: string | undefined,
): Promise<Prepared> {
  const known = await siteExperience(stateFolder, redis ?? redisUrl);
  const { plan, asked } = prepared;
  return {
    ...prepared,
    plan: correctPlan(plan, known),
    asked: { ...asked, plan: correctPlan(asked.plan, known) },
    again: async () => withExperience(await prepared.again(), { stateFolder, redisUrl }, redis),
  };
}
