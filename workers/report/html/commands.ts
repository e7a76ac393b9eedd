import { relative, sep } from 'node:path';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import type { BatchClip, BatchItem } from '../../../jobs/plan/batch.js';
import type { Plan } from '../../../jobs/plan/plan.js';
import { REQUIREMENT_NAMES } from '../../../jobs/requirements/requirement.js';
import type { Finding } from '../../../jobs/verdict/verdict.js';
import { measurementFile, originalMeasurementFile } from '../../batch/folder.js';
import { shellWord } from './shell-word.js';

/** What of a plan a report names: where originals and targets lie, and the colour each file is read by. */
export interface PlannedFiles extends Pick<Plan, 'jobs'> {
  readonly targetFiles: Readonly<Record<string, string>>;
  /**
   * Absolute path, or as it was given, of what the judged files are copies of; for files checked by
   * themselves null.
   */
  readonly original?: string | null;
}

/** What the commands of a report need to know beside the batch itself. */
export interface ReportSources {
  /** Path of each clip, by its name. */
  readonly clips: ReadonlyMap<string, string>;
  /** The same as a path from the batch folder, `/` between parts. */
  readonly clipsFromFolder: ReadonlyMap<string, string>;
  /** Path of each target that is not built in, by its name. */
  readonly targetFiles: ReadonlyMap<string, string>;
  /** `TRANSFER/PRIMARIES` a file is read by, by its measurement's path below the batch folder. */
  readonly colours: ReadonlyMap<string, string>;
  /** What files that were judged as they came are copies of. */
  readonly original: string | null;
}

export const NO_SOURCES: ReportSources = {
  ...{ clips: new Map(), clipsFromFolder: new Map(), targetFiles: new Map(), colours: new Map() },
  original: null,
};

/** @param out the batch folder */
export function reportSources(out: string, planned: PlannedFiles | null): ReportSources {
  if (planned === null) return NO_SOURCES;
  const clips = new Map(planned.jobs.map(({ clip }) => [clip.name, clip.path]));
  const colours = new Map<string, string>();
  for (const { clip, outputs } of planned.jobs) {
    if (clip.colour !== null) colours.set(originalMeasurementFile(clip.name), written(clip.colour));
    for (const { path, recipe } of outputs) colours.set(measurementFile(path), written(recipe.colour));
  }
  return {
    clips,
    clipsFromFolder: new Map(
      [...clips].map(([name, path]) => [name, relative(out, path).split(sep).join('/')]),
    ),
    targetFiles: new Map(Object.entries(planned.targetFiles)),
    colours,
    original: planned.original ?? null,
  };
}

function written({ transfer, primaries }: { readonly transfer: string; readonly primaries: string }): string {
  return `${transfer}/${primaries}`;
}

/** A path that begins with a hyphen would be taken for an option. */
function path(text: string): string {
  return shellWord(text.startsWith('-') ? `./${text}` : text);
}

/**
 * The command that measures and judges one file again, and gives the same verdict. Paths below the batch
 * folder are relative to it.
 */
export function judgeAgain(
  item: BatchItem,
  clip: Pick<BatchClip, 'name'>,
  measurement: Measurement | null,
  sources: ReportSources,
): string {
  const words =
    item.target === null ? ['goodgate measure', path(item.path), '--json'] : checkWords(item, sources);
  const original = item.kind === 'output' ? (sources.clips.get(clip.name) ?? null) : sources.original;
  if (item.target !== null && original !== null) words.push('--original', path(original));
  const colour = item.measurement === null ? undefined : sources.colours.get(item.measurement);
  const tags = measurement?.video?.colour;
  const isTagged = tags !== undefined && colour === `${tags.transfer}/${tags.primaries}`;
  if (colour !== undefined && measurement?.video && !isTagged) words.push('--colour', shellWord(colour));
  return words.join(' ');
}

function checkWords(item: BatchItem, { targetFiles }: ReportSources): string[] {
  const target = item.target ?? '';
  return ['goodgate check', path(item.path), '--target', shellWord(targetFiles.get(target) ?? target)];
}

const NAMES: ReadonlySet<string> = new Set(REQUIREMENT_NAMES);

/**
 * The command that waives a finding, but for who, why and until when, which are a person's to fill in: as it
 * stands it is refused. Null for what cannot be waived.
 */
export function waiveCommand(
  item: BatchItem,
  finding: Finding,
  { targetFiles }: ReportSources,
): string | null {
  if (item.target === null || !NAMES.has(finding.requirement) || finding.waiver !== null) return null;
  return [
    'goodgate waive',
    path(item.path),
    `--finding ${finding.requirement} --target ${shellWord(targetFiles.get(item.target) ?? item.target)}`,
    ...(finding.outcome === 'unmeasured' ? ['--unmeasured'] : []),
    '--by "" --why "" --until ""',
  ].join(' ');
}
