import type { Measurement } from '../../../jobs/measurement/measurement.js';
import type { RequirementName } from '../../../jobs/requirements/requirement.js';
import type { Finding } from '../../../jobs/verdict/verdict.js';
import { shareOfLines } from './find-black-lines.js';
import type { Mark, Proof } from './mark.js';

/** Where a finding is seen, what is marked there, and what proves that it is the place. */
export interface View {
  readonly frame: number;
  readonly mark: Mark;
  readonly proof: Proof | null;
}

/** What the first frame of a place is, where no part of it is to be marked. */
const SEEN: Partial<Record<RequirementName, string>> = {
  'black-frames': 'the first black frame',
  'freeze-frames': 'the picture that stands still',
  'duplicate-frames': 'the first frame of the place',
  'short-shots': 'the first frame of the short shot',
  'constant-colour': 'the first frame of one colour',
  'field-order': 'the first frame of the place',
  cadence: 'the first frame of the place',
};

/** The first frame of the first place, whole. */
export function firstPlace({ at, requirement }: Finding): View | null {
  const frame = at[0]?.from;
  if (frame === undefined) return null;
  const seen = Object.entries(SEEN).find(([name]) => name === requirement)?.[1] ?? 'the whole frame';
  return { frame, mark: { kind: 'nothing', seen }, proof: null };
}

/**
 * Of these the place itself shows one colour and no more: where it lies in the programme, its neighbours
 * show.
 */
const NEIGHBOURS: ReadonlySet<string> = new Set<RequirementName>(['black-frames', 'constant-colour']);

/** The last frame before the first place and the first after it, where the place itself shows nothing. */
export function around({ at, requirement }: Finding, frames: number): View[] {
  const [first] = at;
  if (first === undefined || !NEIGHBOURS.has(requirement)) return [];
  const beside = (frame: number, seen: string): View[] =>
    frame < 0 || frame >= frames ? [] : [{ frame, mark: { kind: 'nothing', seen }, proof: null }];
  return [...beside(first.from - 1, 'the frame before'), ...beside(first.to, 'the first frame after')];
}

/** Frames before a second of flashes in which its first changes may have set out. */
const FLASH_LEAD = 12;
/** Frames that are followed for one picture: a second of any television. */
const FLASH_FRAMES = 150;

/** The worst second; which of its frames is shown is found when they are read again. */
export function flashing(finding: Finding, { flashes }: Measurement): View | null {
  if (flashes === null) return firstPlace(finding);
  const red = flashes.general.ranges.length === 0 && flashes.red.ranges.length > 0;
  const second = (red ? flashes.red : flashes.general).worstSecond;
  const isMeant =
    second !== null && finding.at.some(({ from, to }) => from <= second.from && second.from < to);
  if (second === null || !isMeant || second.to - second.from > FLASH_FRAMES) return firstPlace(finding);
  const { from, to, areaAtMost } = second;
  const frame = Math.max(0, from - FLASH_LEAD);
  return { frame, mark: { kind: 'flash', red, from, to }, proof: { kind: 'flash-area', value: areaAtMost } };
}

/** The bars of the place, or else those of the programme. */
export function bars(finding: Finding, { temporal, video, curves }: Measurement): View | null {
  if (temporal === null || video === null) return null;
  const { area: main, others } = temporal.activePicture;
  const other = others.ranges.find(({ from }) => from === finding.at[0]?.from);
  const area = other?.area ?? main;
  const frame = other?.from ?? brightFrame(curves.picture);
  if (area === null || frame === null) return firstPlace(finding);
  const { left, top, width, height } = area;
  const lines = { top, left, bottom: video.height - top - height, right: video.width - left - width };
  const value = shareOfLines(lines, video);
  if (value === 0) {
    return { frame, mark: { kind: 'nothing', seen: 'the whole frame, which has no bars' }, proof: null };
  }
  return { frame, mark: { kind: 'bars', ...lines }, proof: { kind: 'area', value } };
}

/** A frame in which the edges of the picture are most likely to be seen. */
function brightFrame(picture: Measurement['curves']['picture']): number | null {
  if (picture === null) return null;
  const points = picture.light?.average ?? picture.levelMax;
  const most = points.reduce<number>(
    (best, value, i) => ((value ?? -1) > (points[best] ?? -1) ? i : best),
    0,
  );
  return most * picture.framesPerPoint;
}

export function blankLines(finding: Finding, { temporal, video }: Measurement): View | null {
  const [first] = finding.at;
  if (temporal === null || video === null || first === undefined) return firstPlace(finding);
  // A run begins with a frame that shows it; one that began earlier need not show it here.
  const found = temporal.blankEdge.ranges.filter(({ from }) => from === first.from);
  if (found.length === 0) return firstPlace(finding);
  const lines = { top: 0, bottom: 0, left: 0, right: 0 };
  for (const range of found) lines[range.side] = range.lines;
  const value = shareOfLines(lines, video);
  return { frame: first.from, mark: { kind: 'blank-lines', ...lines }, proof: { kind: 'area', value } };
}
