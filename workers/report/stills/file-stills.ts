import { stat } from 'node:fs/promises';
import type { Colour } from '../../../jobs/manifest/colour.js';
import type { VideoFacts } from '../../../jobs/manifest/facts.js';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import type { Verdict } from '../../../jobs/verdict/verdict.js';
import type { Log } from '../../clip-context.js';
import type { Tools } from '../../ffmpeg/tools.js';
import { framesAt } from '../../judge/place.js';
import { stillCaption } from './caption.js';
import { chooseStills, overviewOf, type WantedStill } from './choose-stills.js';
import { compressPictures } from './compress.js';
import type { DrawnFrame } from './draw-frame.js';
import { drawFrames } from './draw-frames.js';
import { FetchError } from './fetch-frames.js';
import { countAll, type FetchPlan, planFetch } from './fetch-plan.js';
import type { KeptStills } from './kept-stills.js';
import { framesOf, isProven } from './mark.js';
import type { Still, Stills } from './still.js';

/** A judged file as it stands on disk now. */
export interface StillSource {
  readonly path: string;
  readonly measurement: Measurement;
  readonly verdicts: readonly Verdict[];
  /** Where they are kept; absent: nowhere. */
  readonly kept?: KeptStills;
  /** A picture of the file as a whole is wanted too, by `overviewKey`. */
  readonly overview?: boolean;
  /** Asked for only when a still is wanted. Null: it has no picture. */
  readonly picture: () => Promise<StillPicture | null>;
}

/** How the samples of a picture are to be read: as they were when it was measured. */
export interface StillPicture {
  readonly video: VideoFacts;
  /** What the code values mean; null: as the tags say. */
  readonly colour: Colour | null;
}

export interface StillOptions {
  readonly log: Pick<Log, 'debug'>;
  /** Programs to start; by default those of the PATH. */
  readonly tools?: Tools | undefined;
  readonly signal?: AbortSignal | undefined;
}

const NONE: Stills = new Map();

/**
 * Stills of the findings of one file. A picture is shown only where the frame read again shows what was
 * measured of it. Never throws: a report without stills is still a report, and the log says what was in the
 * way.
 */
export async function fileStills(source: StillSource, options: StillOptions): Promise<Stills> {
  const started = performance.now();
  try {
    const stills = await draw(source, options);
    if (stills.size > 0) {
      const seconds = (performance.now() - started) / 1000;
      options.log.debug({ file: source.path, findings: stills.size, seconds }, 'stills drawn');
    }
    return stills;
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    options.log.debug({ file: source.path, why }, 'no stills of this file');
    return NONE;
  }
}

async function draw(source: StillSource, options: StillOptions): Promise<Stills> {
  const { path, measurement } = source;
  const wanted = [
    ...chooseStills(measurement, source.verdicts),
    ...(source.overview === true ? overviewOf(measurement) : []),
  ];
  if (wanted.length === 0 || options.signal?.aborted) return NONE;
  const { size } = await stat(path);
  if (size !== measurement.file.bytes) throw new Error('the file is not the one that was measured');
  const kept = await source.kept?.read(wanted);
  if (kept != null) return kept;
  const picture = await source.picture();
  if (picture === null) return NONE;

  const ordered = [...wanted].sort((a, b) => a.frame - b.frame);
  const frames = [...new Set(ordered.flatMap(framesOf))].sort((a, b) => a - b);
  const pictures = await drawSurely(planFetch(frames, measurement), frames, ordered, {
    ...picture,
    ...options,
    path,
  });
  const [first] = pictures.values();
  if (first === undefined) return NONE;
  const shown = wanted.flatMap((still) => {
    const drawn = pictures.get(still);
    return drawn === undefined ? [] : [{ still, drawn }];
  });
  const uris = await compressPictures(
    shown.map(({ drawn }) => drawn.rgb),
    first,
    options,
  );
  const stills = new Map<string, Still[]>();
  shown.forEach(({ still, drawn }, index) => {
    const made: Still = {
      frame: drawn.frame,
      timecode: framesAt(measurement, drawn.frame, drawn.frame + 1).fromTimecode,
      dataUri: uris[index] ?? '',
      caption: stillCaption(still.mark, drawn, picture.video.scan),
    };
    for (const key of still.keys) stills.set(key, [...(stills.get(key) ?? []), made]);
  });
  // One that could not be drawn this time is tried again.
  if (shown.length === wanted.length) await keep(source, wanted, stills, options);
  return stills;
}

/** To keep them only saves time: a disk that is full is told of by who writes the report. */
async function keep(
  { path, kept }: StillSource,
  wanted: readonly WantedStill[],
  stills: Stills,
  { log }: StillOptions,
): Promise<void> {
  await kept?.write(wanted, stills).catch((error: unknown) => {
    log.debug({ file: path, why: String(error) }, 'stills not kept');
  });
}

interface DrawSource extends StillOptions, StillPicture {
  readonly path: string;
}

/** Sought where that is sure; where it proves not to be, counted from the start. */
async function drawSurely(
  plan: FetchPlan,
  frames: readonly number[],
  ordered: readonly WantedStill[],
  source: DrawSource,
): Promise<ReadonlyMap<WantedStill, DrawnFrame>> {
  const had = new Set([...plan.counted, ...plan.sought]);
  const works = ordered.filter((work) => framesOf(work).every((frame) => had.has(frame)));
  if (works.length === 0) return new Map();
  const counted = plan.sought.length === 0 ? null : countAll(frames);
  try {
    const drawn = await drawFrames(plan, works, source);
    const proven = new Map<WantedStill, DrawnFrame>();
    works.forEach((still, i) => {
      const picture = drawn[i];
      if (picture !== undefined && isProven(still.proof, picture)) proven.set(still, picture);
    });
    if (proven.size === works.length || counted === null) {
      const missing = works.length - proven.size;
      if (missing > 0)
        source.log.debug({ file: source.path, missing }, 'frames do not show what was measured');
      return proven;
    }
  } catch (error) {
    if (!(error instanceof FetchError) || counted === null || source.signal?.aborted) throw error;
    source.log.debug({ file: source.path, why: error.message }, 'seeking frames is not sure here');
  }
  return drawSurely(counted ?? plan, frames, ordered, source);
}
