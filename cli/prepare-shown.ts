import { type Prepared, type PrepareOptions, preparePlan } from './prepare-plan.js';
import { scanProgress } from './progress/scan-progress.js';

/** Options of every command that plans, as commander gives them. */
export interface PlanOptions {
  target: string[];
  out?: string;
  batches?: string;
  targetFolder?: string;
  jobs?: number;
}

/** `preparePlan` of a command, with the scan's progress on the terminal; its line is gone however it ends. */
export async function prepareShown(
  input: string,
  { target, out, batches, targetFolder, jobs }: PlanOptions,
  context: Pick<PrepareOptions, 'environment' | 'signal'>,
): Promise<Prepared> {
  const scanning = scanProgress();
  try {
    return await preparePlan({
      ...{ input, targets: target, out, batches, targetFolder, workers: jobs },
      ...context,
      onScan: scanning.update,
    });
  } finally {
    scanning.stop();
  }
}
