import { availableParallelism } from 'node:os';
import type { Colour } from '../../../jobs/manifest/colour.js';
import type { VideoFacts } from '../../../jobs/manifest/facts.js';
import type { Plan } from '../../../jobs/plan/plan.js';
import type { Verdict } from '../../../jobs/verdict/verdict.js';
import { atOnce } from '../../at-once.js';
import { provenMeasurement } from '../../batch/documents.js';
import {
  below,
  measurementFile,
  originalMeasurementFile,
  originalVerdictFile,
  verdictFile,
} from '../../batch/folder.js';
import type { Site } from '../../clip-context.js';
import { probeClip } from '../../probe/probe-clip.js';
import { requireUnderRoots } from '../../roots.js';
import { fileStills, type StillOptions, type StillPicture, type StillSource } from './file-stills.js';
import { keptStillsOf, removeOtherStills } from './kept-stills.js';
import type { Still, Stills } from './still.js';

/** What drawing needs of the machine and of whoever asked for it. */
export type StillSite = StillOptions & Pick<Site, 'roots' | 'tools' | 'probed'>;

/** Camera originals with a picture of the clip on their pages: each costs a run of ffmpeg. */
const OVERVIEWS = 24;
/** Files that are drawn from at once, where there are so many cores: each has a few frames in memory. */
const MOST_AT_ONCE = 4;
/** No file is begun after this: a report that keeps people waiting for its pictures comes too late. */
const MOST_SECONDS = 600;

/**
 * Stills of all files of a report, a few files at once: those that fail first. Never throws; what cannot
 * be drawn is not in the map, and the log says why.
 */
export async function drawStills(sources: readonly StillSource[], options: StillOptions): Promise<Stills> {
  const until = performance.now() + MOST_SECONDS * 1000;
  const stills = new Map<string, readonly Still[]>();
  const rank = ({ verdicts }: StillSource): number =>
    verdicts.length === 0 ? 2 : verdicts.some(({ verdict }) => verdict === 'fail') ? 0 : 1;
  const ordered = [...sources].sort((a, b) => rank(a) - rank(b));
  let late = 0;
  const lanes = Math.min(MOST_AT_ONCE, availableParallelism());
  const drawn = await atOnce(lanes, ordered, async (source): Promise<Stills> => {
    if (options.signal?.aborted) return new Map();
    if (performance.now() <= until) return fileStills(source, options);
    late++;
    return new Map();
  });
  for (const ofFile of drawn) for (const [key, made] of ofFile) stills.set(key, made);
  if (late > 0)
    options.log.debug({ files: late, seconds: MOST_SECONDS }, 'no time left for the stills of further files');
  return stills;
}

/**
 * Stills of the findings of a batch. A file that was moved, changed or lies outside the roots by now has
 * none.
 *
 * @param verdicts by path below the batch folder
 */
export async function batchStills(
  plan: Pick<Plan, 'jobs'>,
  out: string,
  verdicts: ReadonlyMap<string, Verdict>,
  site: StillSite,
): Promise<Stills> {
  const sources: StillSource[] = [];
  const documents = new Set<string>();
  let overviews = 0;
  for (const job of plan.jobs) {
    const { clip } = job;
    const judged = (file: string): Verdict[] => {
      const verdict = verdicts.get(file);
      return verdict === undefined || verdict.verdict === 'pass' ? [] : [verdict];
    };
    const add = async (
      { key, file, path }: { key: string; file: string; path: string },
      of: readonly Verdict[],
      picture: StillSource['picture'],
      overview = false,
    ): Promise<void> => {
      if (of.length === 0 && !overview) return;
      const isOurs = await requireUnderRoots(path, site.roots).then(
        () => true,
        () => false,
      );
      const proven = isOurs ? await provenMeasurement(out, file, { key, path }) : null;
      if (proven !== null) {
        const kept = keptStillsOf(out, file, proven.document);
        sources.push({ path, measurement: proven.document, verdicts: of, kept, picture, overview });
        documents.add(file);
      } else site.log.debug({ file: path }, 'no stills of this file: it is not the one that was measured');
    };
    await add(
      { key: job.clipKey, file: originalMeasurementFile(clip.name), path: clip.path },
      job.judge.flatMap(({ target }) => judged(originalVerdictFile(target, clip.name))),
      async () => pictureOf(clip.facts.video, clip.colour),
      // What is judged is a master, and shown by its findings.
      job.judge.length === 0 && overviews++ < OVERVIEWS,
    );
    for (const output of job.outputs) {
      const path = below(out, output.path);
      const measured = { key: output.key, file: measurementFile(output.path), path };
      await add(measured, judged(verdictFile(output.path)), async () => {
        // It was just proven to be the file that was measured.
        const facts = site.probed?.of(output.key) ?? (await probeClip(path, site));
        return pictureOf(facts.video, output.recipe.colour);
      });
    }
  }
  const stills = await drawStills(sources, site);
  await removeOtherStills(out, documents);
  return stills;
}

function pictureOf(video: VideoFacts | null, colour: Colour | null): StillPicture | null {
  return video === null ? null : { video, colour };
}
