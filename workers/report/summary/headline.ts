import type { Batch, BatchTotals } from '../../../jobs/plan/batch.js';
import type { Outcome } from '../../../jobs/verdict/verdict.js';
import { count } from '../../../jobs/words/numbers.js';
import { SINCE_WORDS } from './since.js';
import type { ReportFile } from './standing.js';

/** The sentence a supervisor needs. */
export function headline(batch: Pick<Batch, 'state' | 'clips'>, totals: BatchTotals): string {
  const { needYou, fit, waiting, results, unjudged } = totals;
  const needs = needYou === 0 ? '' : `; ${needYou} ${needYou === 1 ? 'needs' : 'need'} you`;
  const judged = results - unjudged;
  const isOver = batch.state === 'finished' && waiting === 0;
  const found = judged === 0 ? 'No file could be judged' : `${fit} of ${judged} fit to use`;
  if (isOver) return `${found}${needs}.`;
  const done = batch.clips.filter((clip) => clip.state === 'done').length;
  if (batch.state === 'interrupted' && done === batch.clips.length) {
    return `Stopped while stills and reports were written: all clips are done. ${found}${needs}.`;
  }
  const state = batch.state === 'running' ? 'Still running' : 'Stopped before the end';
  return `${state}: ${done} of ${count(batch.clips.length, 'clip')} done. So far ${found.charAt(0).toLowerCase()}${found.slice(1)}${needs}.`;
}

/** What the results come from: `25 results from 18 clips`. */
export function resultsText({ results, clips }: BatchTotals): string {
  return `${count(results, 'result')} from ${count(clips, 'clip')}`;
}

/** The sentence of one file, compared with what its targets ask. */
export function fileHeadline(judged: readonly ReportFile[]): string {
  const [only] = judged;
  if (only === undefined) return 'Measured. No target asks anything of it.';
  if (judged.length > 1) {
    const fit = judged.filter(({ standing }) => standing === 'pass' || standing === 'warn').length;
    const rest = judged.length - fit;
    if (fit === 0) return `Not fit for any of ${judged.length} targets.`;
    if (rest === 0) return `Fit for all ${judged.length} targets.`;
    return `Fit for ${fit} of ${judged.length} targets; ${rest} ${rest === 1 ? 'needs' : 'need'} you.`;
  }
  const { since } = only.item;
  if (since !== null) return `Unmeasured as it is now. ${SINCE_WORDS[since].what}`;
  const findings = only.verdict?.findings ?? [];
  const open = findings.filter(({ waiver }) => waiver === null);
  const withOutcome = (outcome: Outcome) => open.filter((finding) => finding.outcome === outcome).length;
  const [failed, unmeasured, warned] = [withOutcome('fail'), withOutcome('unmeasured'), withOutcome('warn')];
  const because = list([
    failed > 0 && `${failed} ${failed === 1 ? 'requirement is' : 'requirements are'} not met`,
    unmeasured > 0 && `${count(unmeasured, 'requirement')} could not be measured`,
  ]);
  if (only.standing === 'fail') return `Not fit to use${because === '' ? '' : `: ${because}`}.`;
  if (only.standing === 'unmeasured')
    return `Unmeasured: ${only.verdict === null ? 'its verdict cannot be read' : because}.`;
  const waived = findings.length - open.length;
  const notes = list([warned > 0 && count(warned, 'warning'), waived > 0 && count(waived, 'waived finding')]);
  return notes === '' ? 'Fit to use.' : `Fit to use, with ${notes}.`;
}

function list(parts: readonly (string | false)[]): string {
  return parts.filter((part) => part !== false).join(', ');
}
