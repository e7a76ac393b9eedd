import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { type Subject, subjectOf } from '../../../jobs/requirements/requirement.js';
import { limitsOf } from '../../../jobs/verdict/limits.js';
import type { Finding, Verdict } from '../../../jobs/verdict/verdict.js';
import { highestAllowedNits } from '../../../signal/peak-limit.js';
import { requirementOf } from '../../judge/requirements.js';
import type { Mark } from './mark.js';
import { overviewKey, stillKey } from './still.js';
import { around, bars, blankLines, firstPlace, flashing, type View } from './view-over-time.js';

/** One picture that is wanted, and the findings it belongs to. */
export interface WantedStill extends View {
  /** Requirement of the first finding it was wanted for. */
  readonly requirement: string;
  readonly keys: readonly string[];
}

/** Pictures of one file: each may cost a run of ffmpeg. */
const MOST = 10;

/** Findings on containers, copies and sound may have places too, but nothing is to be seen there. */
const UNSEEN: ReadonlySet<Subject> = new Set<Subject>(['container', 'original', 'sound']);

function isSeen({ requirement }: Finding): boolean {
  const known = requirementOf(requirement);
  return known === undefined || (known.seen !== false && !UNSEEN.has(subjectOf(known.name)));
}

/** From this share of the peak on a pixel counts as part of it. */
const NEAR_PEAK = 0.99;

/**
 * Which findings of a file get a still, and of which frame: the worst frame a figure names, else the first of
 * the finding's first range. Failures come first. Two findings on the same frame with the same marks share
 * one picture.
 *
 * None for a damaged file: which frame has which number is only sure where all decode.
 */
export function chooseStills(measurement: Measurement, verdicts: readonly Verdict[]): WantedStill[] {
  const { video, decode } = measurement;
  if (video === null || decode.errors > 0 || decode.truncated) return [];
  const wanted = new Map<string, WantedStill>();
  const put = (view: View, { requirement }: Finding, { file, target }: Verdict): void => {
    const sameAs = JSON.stringify([view.frame, view.mark]);
    const known = wanted.get(sameAs);
    if (known === undefined && wanted.size >= MOST) return;
    const key = stillKey(file, target, requirement);
    const earlier = known?.keys ?? [];
    const keys = earlier.includes(key) ? earlier : [...earlier, key];
    wanted.set(sameAs, known === undefined ? { ...view, requirement, keys } : { ...known, keys });
  };
  for (const outcome of ['fail', 'warn'] as const) {
    for (const verdict of verdicts) {
      for (const finding of verdict.findings) {
        if (finding.outcome !== outcome || !isSeen(finding)) continue;
        const view = within(finding, viewOf(finding, measurement));
        if (view === null || view.frame >= video.frames) continue;
        for (const each of [view, ...around(finding, video.frames)]) put(each, finding, verdict);
      }
    }
  }
  return [...wanted.values()];
}

/** The middle frame of a file, to see at a glance what it is. None for a damaged file, as above. */
export function overviewOf({ video, decode, file }: Measurement): WantedStill[] {
  if (video === null || video.frames === 0 || decode.errors > 0 || decode.truncated) return [];
  const frame = Math.floor(video.frames / 2);
  const mark: Mark = { kind: 'nothing', seen: 'the middle frame of the clip' };
  return [{ frame, mark, proof: null, requirement: '', keys: [overviewKey(file.path)] }];
}

/**
 * A finding on a part of the programme is shown there, even where the worst frame of the file lies elsewhere.
 */
function within({ at }: Finding, view: View | null): View | null {
  const [first] = at;
  // The second of a flash is looked for in the finding's places from the first.
  if (view === null || first === undefined || view.mark.kind === 'flash') return view;
  if (at.some(({ from, to }) => from <= view.frame && view.frame < to)) return view;
  return { ...view, frame: first.from, proof: { kind: 'some' } };
}

function viewOf(finding: Finding, measurement: Measurement): View | null {
  const { levels, luminance } = measurement;
  switch (finding.requirement) {
    case 'signal-range':
      return worst(levels?.gamutError.worstFrame, { kind: 'signal-range' }, levels?.gamutError.worstArea);
    case 'outside-p3': {
      const outside = luminance?.outsideP3;
      return worst(outside?.worstFrame, { kind: 'outside-p3' }, outside?.worstArea);
    }
    case 'reserved-codes': {
      const frame = levels?.reservedCodes.firstFrame ?? null;
      return frame === null ? null : { frame, mark: { kind: 'reserved-codes' }, proof: { kind: 'some' } };
    }
    case 'peak-luminance': {
      const limits = limitsOf(finding)['peak-luminance'];
      const depth = measurement.video?.bitDepth.declared ?? 10;
      const most = limits && highestAllowedNits(limits.max, depth, limits.tolerance);
      return brightest(measurement, most ?? null);
    }
    case 'light-level':
      return isLightLevelStated(measurement) ? brightest(measurement, null) : null;
    case 'flashes':
      return flashing(finding, measurement);
    case 'active-picture':
      return bars(finding, measurement);
    case 'blank-edges':
      return blankLines(finding, measurement);
    default:
      return firstPlace(finding);
  }
}

function worst(frame: number | null | undefined, mark: Mark, area: number | undefined): View | null {
  if (frame === null || frame === undefined || area === undefined) return null;
  return { frame, mark, proof: { kind: 'area', value: area } };
}

function brightest({ luminance }: Measurement, limit: number | null): View | null {
  if (luminance === null) return null;
  const { maxCll, maxCllFrame: frame } = luminance;
  const mark: Mark =
    limit === null ? { kind: 'peak', nits: maxCll * NEAR_PEAK } : { kind: 'brighter-than', nits: limit };
  return { frame, mark, proof: { kind: 'peak', value: maxCll } };
}

/** Where nothing is stated the header lacks it, and no frame shows that. */
function isLightLevelStated({ hdr: { lightLevel } }: Measurement): boolean {
  return lightLevel !== null && lightLevel.maxCll > 0 && lightLevel.maxFall > 0;
}
