import type { Plan } from '../../../../jobs/plan/plan.js';
import type { RequirementSet } from '../../../../jobs/requirements/requirement.js';
import type { TransferName } from '../../../../signal/transfer/transfer-functions.js';
import type { KnownOfBatch } from './load-documents.js';

/** What a plan says of its files that no measurement does: the limits of its targets, and how colour was read. */
export function knownOfPlan(
  plan: Pick<Plan, 'jobs'>,
): Required<Pick<KnownOfBatch, 'requirements' | 'transfers'>> {
  const requirements = new Map<string, RequirementSet>();
  const transfers = new Map<string, TransferName>();
  for (const { clip, outputs, judge } of plan.jobs) {
    if (clip.colour !== null) {
      transfers.set(clip.path, clip.colour.transfer);
      transfers.set(clip.name, clip.colour.transfer);
    }
    for (const { target, path, require, recipe } of outputs) {
      requirements.set(target, require);
      transfers.set(path, recipe.colour.transfer);
    }
    for (const { target, require } of judge) requirements.set(target, require);
  }
  return { requirements, transfers };
}
