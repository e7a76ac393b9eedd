import type { Batch } from '../jobs/plan/batch.js';
import type { Plan, PlannedJob } from '../jobs/plan/plan.js';
import { count } from '../jobs/words/numbers.js';
import { visible } from '../jobs/words/plain-text.js';
import { bytes } from '../jobs/words/quantities.js';
import { estimate } from '../jobs/words/times.js';

function describeClip(job: PlannedJob): string {
  const video = job.clip.facts.video;
  if (video === null) return '';
  const colour = job.clip.colour === null ? '' : `, ${job.clip.colour.transfer}/${job.clip.colour.primaries}`;
  return `${video.width}x${video.height}, ${video.frameRate ?? 'rate unknown'}, ${video.bitDepth}-bit ${video.chroma ?? ''}${colour}`;
}

function describeJob(job: PlannedJob): string[] {
  const lines = [visible(job.clip.name), `  from   ${describeClip(job)}`];
  for (const output of job.outputs) {
    const { video, raster } = output.recipe;
    lines.push(
      `  make   ${output.target}: ${raster.width}x${raster.height}, ${video.bitDepth}-bit ${video.chroma}, about ${bytes(output.estimate.bytes)}`,
      `         ${visible(output.path)}`,
      ...output.losses.map((loss) => `         loses ${loss.what}: ${loss.why}`),
    );
  }
  for (const { target } of job.judge) lines.push(`  judge  ${target}`);
  return lines;
}

/** The plan for a person: problems first, then each job with every loss, then the sums. */
export function planText(plan: Plan, unreadable: Batch['unreadable']): string {
  const lines: string[] = [];
  if (plan.refused.length + unreadable.length > 0) {
    lines.push('Cannot be done:');
    for (const { file, reason } of unreadable) lines.push(`  ${visible(file)}: ${visible(reason)}`);
    for (const refusal of plan.refused) {
      lines.push(
        `  ${visible(refusal.clip)}${refusal.target === null ? '' : ` -> ${refusal.target}`}: ${visible(refusal.reason)}`,
        `    next: ${visible(refusal.next)}`,
      );
    }
    lines.push('');
  }
  for (const job of plan.jobs) lines.push(...describeJob(job));
  if (plan.notes.length > 0) lines.push('', 'Notes:', ...plan.notes.map((note) => `  ${visible(note)}`));
  const { totals } = plan;
  lines.push(
    '',
    `${count(totals.clips, 'clip')}, ${count(totals.outputs, 'output')}; about ${bytes(totals.bytes)} and ${estimate(totals.wallSeconds)} with ${count(totals.workers, 'job')} at once`,
    `out: ${visible(plan.out)}`,
  );
  return lines.join('\n');
}
