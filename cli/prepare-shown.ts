import { type Prepared, type PrepareOptions, preparePlan } from './prepare-plan.js';
import { scanProgress } from './progress/scan-progress.js';

/** `preparePlan`, with the progress of the scan on the terminal; the line is gone however it ends. */
export async function prepareShown(options: Omit<PrepareOptions, 'onScan'>): Promise<Prepared> {
  const scanning = scanProgress();
  try {
    return await preparePlan({ ...options, onScan: scanning.update });
  } finally {
    scanning.stop();
  }
}
