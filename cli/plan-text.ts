import type { ScanName } from '../jobs/manifest/colour.js';
import { slateText } from '../jobs/manifest/slate.js';
import type { Batch } from '../jobs/plan/batch.js';
import { cameIn, cameInText } from '../jobs/plan/came-in.js';
import { severityOf } from '../jobs/plan/loss-severity.js';
import type { Plan, PlannedJob, PlannedOutput } from '../jobs/plan/plan.js';
import { count, firstOf } from '../jobs/words/numbers.js';
import { visible, wrap } from '../jobs/words/plain-text.js';
import { bytes } from '../jobs/words/quantities.js';
import { estimate } from '../jobs/words/times.js';
import { misfits, type Outlook, outlookLines } from './plan/plan-outlook.js';

const WIDTH = 80;
/** Names told of a group; `--all` tells all. */
const NAMES = 3;
const SCAN_WORDS: Readonly<Record<ScanName, string>> = {
  progressive: 'progressive',
  'interlaced-tff': 'interlaced, top field first',
  'interlaced-bff': 'interlaced, bottom field first',
};

/**
 * The plan for a person: what cannot be done first, then the clips with every loss, then the sums. Clips of
 * one kind, from the same to the same with the same losses, are told together unless `all` asks for each.
 *
 * @param there what the batch folder holds already
 */
export function planText(
  plan: Plan,
  unreadable: Batch['unreadable'],
  {
    all,
    outlook,
    there = [],
  }: { readonly all: boolean; readonly outlook?: Outlook; readonly there?: readonly string[] },
): string {
  const most = all ? Number.POSITIVE_INFINITY : NAMES;
  const undone = [
    ...(outlook === undefined ? [] : misfits(outlook).flatMap((text) => told(2, text))),
    ...unreadableLines(unreadable, most),
    ...refusedLines(plan, most),
  ];
  const { totals } = plan;
  const lossWords = new Map<PlannedOutput['losses'], string>();
  const groups = grouped(plan.jobs, (job) => (all ? job.id : kindOf(job, lossWords)));
  const notes = noteLines(plan, most);
  return [
    ...(undone.length === 0 ? [] : ['Cannot be done', ...undone, '']),
    ...(plan.skipped.length === 0 ? [] : ['Skipped', ...skippedLines(plan, most), '']),
    ...groups.flatMap((jobs) => [...groupLines(jobs), '']),
    ...(notes.length === 0 ? [] : ['Notes', ...notes, '']),
    ...(there.length === 0 ? [] : ['In the batch folder', ...there.flatMap((line) => told(2, line)), '']),
    ...told(0, cameInText(cameIn({ ...plan, clips: plan.jobs.map(({ clip }) => clip.name), unreadable }))),
    ...told(
      0,
      `${count(totals.clips, 'clip')}, ${count(totals.outputs, 'output')}; about ${bytes(totals.bytes)} and ${estimate(totals.wallSeconds)} with ${count(totals.workers, 'job')} at once`,
    ),
    ...(outlook === undefined ? [] : outlookLines(plan, outlook).flatMap((line) => told(0, line))),
    `out: ${visible(plan.out)}`,
  ].join('\n');
}

function unreadableLines(unreadable: Batch['unreadable'], most: number): string[] {
  return grouped(unreadable, ({ reason }) => reason).flatMap((files) =>
    subject(
      files.map(({ file }) => file),
      'file',
      `unreadable: ${files[0]?.reason}`,
      most,
    ),
  );
}

/** The same reason for several targets, or for several clips, is told once. */
function refusedLines({ refused }: Plan, most: number): string[] {
  const ofTarget = grouped(refused, ({ target, reason, next }) => [target, reason, next].join('\n'));
  const alike = grouped(ofTarget, (refusals) =>
    [refusals[0]?.reason, refusals[0]?.next, ...refusals.map(({ clip }) => clip)].join('\n'),
  );
  return alike.flatMap((groups) => {
    const [refusals] = groups;
    const [first] = refusals ?? [];
    if (refusals === undefined || first === undefined) return [];
    const targets = groups.flatMap(([each]) => each?.target ?? []);
    const what = `${targets.length === 0 ? '' : `for ${targets.join(', ')}: `}${first.reason}`;
    const names = refusals.map(({ clip }) => clip);
    return [...subject(names, 'clip', what, most), ...told(4, `next: ${first.next}`)];
  });
}

function skippedLines({ skipped }: Plan, most: number): string[] {
  return grouped(skipped, ({ by }) => by).flatMap((alike) =>
    subject(
      alike.map(({ clip }) => clip),
      'clip',
      `by ${alike[0]?.by}`,
      most,
    ),
  );
}

/** Notes on clips begin with the clip's name: equal ones are told once. */
function noteLines({ jobs, refused, notes }: Plan, most: number): string[] {
  const clips = new Set([...jobs.map(({ clip }) => clip.name), ...refused.map(({ clip }) => clip)]);
  const split = notes.map((note) => {
    for (let at = note.indexOf(': '); at >= 0; at = note.indexOf(': ', at + 1)) {
      if (clips.has(note.slice(0, at))) return { clip: note.slice(0, at), text: note.slice(at + 2) };
    }
    return { clip: null, text: note };
  });
  return grouped(split, ({ clip, text }) => `${clip === null} ${text}`).flatMap((alike) => {
    const names = alike.flatMap(({ clip }) => clip ?? []);
    const text = alike[0]?.text ?? '';
    return names.length === 0 ? told(2, text) : subject(names, 'clip', text, most);
  });
}

/** `3 clips (a, b, c): what is said of them`; one is called by its name alone. */
function subject(names: readonly string[], noun: string, text: string, most: number): string[] {
  const [first = ''] = names;
  const who = names.length === 1 ? first : `${count(names.length, noun)} (${firstOf(names, most)})`;
  return told(2, `${who}: ${text}`);
}

/** What makes two clips one kind: all that is told of them but names, sizes and times. */
function kindOf(job: PlannedJob, lossWords: Map<PlannedOutput['losses'], string>): string {
  // Lists of losses are held once for many outputs.
  const wordsOf = (losses: PlannedOutput['losses']): string => {
    const words = lossWords.get(losses) ?? JSON.stringify(losses);
    lossWords.set(losses, words);
    return words;
  };
  return JSON.stringify([
    describeClip(job),
    job.outputs.map((output) => [describeOutput(output), wordsOf(output.losses)]),
    job.judge.map(({ target }) => target),
  ]);
}

function groupLines(jobs: readonly PlannedJob[]): string[] {
  const [first] = jobs;
  if (first === undefined) return [];
  const names = jobs.map(({ clip }) => clip.name);
  const head =
    jobs.length === 1
      ? [names[0] ?? '', slateText(first.clip.slate)].filter(Boolean).join(', ')
      : `${count(jobs.length, 'clip')}: ${firstOf(names, NAMES)}`;
  return [
    ...told(0, head),
    ...labelled('from', describeClip(first)),
    ...first.outputs.flatMap((output, index) => {
      const alike = jobs.flatMap(({ outputs }) => outputs[index] ?? []);
      const size = bytes(alike.reduce((sum, each) => sum + each.estimate.bytes, 0));
      return [
        ...labelled('make', `${describeOutput(output)}, about ${size}${jobs.length === 1 ? '' : ' in all'}`),
        ...(jobs.length === 1 ? [`         ${visible(output.path)}`] : []),
        ...output.losses.flatMap((loss) =>
          told(9, `loses ${loss.what} (${severityOf(loss.what)}): ${loss.why}`),
        ),
      ];
    }),
    ...first.judge.flatMap(({ target }) => labelled('judge', target)),
  ];
}

function describeClip({ clip, outputs }: PlannedJob): string {
  const { video, audio } = clip.facts;
  if (video === null) return `no picture, ${soundWords(audio.length)}`;
  // What the manifest says of the scan goes before the file's word; the recipe holds which one counts.
  const scan = outputs[0]?.recipe.sourceScan ?? video.scan;
  return [
    `${video.width}x${video.height}`,
    `${rateWords(video.frameRate)}${video.constantRate === false ? ', varying' : ''}`,
    scan === null ? 'scan unknown' : SCAN_WORDS[scan],
    `${video.bitDepth}-bit ${video.chroma ?? ''}`.trimEnd(),
    ...(clip.colour === null ? [] : [`${clip.colour.transfer}/${clip.colour.primaries}`]),
    ...(video.rotation === 0 ? [] : [`to be shown turned by ${video.rotation} degrees`]),
    soundWords(audio.length),
  ].join(', ');
}

function describeOutput({ target, recipe }: PlannedOutput): string {
  const { video, raster, rotation, scan } = recipe;
  return [
    `${target}: ${raster.width}x${raster.height}`,
    rateWords(recipe.frameRate),
    SCAN_WORDS[scan],
    `${video.bitDepth}-bit ${video.chroma}`,
    ...(rotation === 0 ? [] : [`turned upright by ${rotation} degrees`]),
  ].join(', ');
}

function rateWords(rate: string | null): string {
  return rate === null ? 'rate unknown' : `${rate.replace(/\/1$/, '')} frames a second`;
}

function soundWords(tracks: number): string {
  return tracks === 0 ? 'no sound' : count(tracks, 'sound track');
}

function labelled(label: string, text: string): string[] {
  return told(9, text).map((line, index) => (index === 0 ? `  ${label.padEnd(7)}${line.trimStart()}` : line));
}

function told(indent: number, text: string): string[] {
  return wrap(visible(text), WIDTH - indent).map((line) => ' '.repeat(indent) + line);
}

/** Groups in the order in which the first of each stands. */
function grouped<T>(all: readonly T[], keyOf: (one: T) => string): T[][] {
  const groups = new Map<string, T[]>();
  for (const one of all) {
    const key = keyOf(one);
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [one]);
    else group.push(one);
  }
  return [...groups.values()];
}
