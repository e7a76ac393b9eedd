import type { FramePlanes } from '../pairs/frame-planes.js';
import {
  type Explained,
  type FramePair,
  lightPlanes,
  type PairForm,
  RUN,
  type Suspicion,
  sampledLines,
} from './mistake.js';

type Beside = 'before' | 'after';
type Lines = 'all' | 'even' | 'odd';

const KINDS = [
  { name: 'frame-offset', detail: 'the copy is one frame late', beside: 'after', lines: 'all' },
  { name: 'frame-offset', detail: 'the copy is one frame early', beside: 'before', lines: 'all' },
  { name: 'swapped-fields', detail: 'the upper field is one frame late', beside: 'after', lines: 'even' },
  { name: 'swapped-fields', detail: 'the upper field is one frame early', beside: 'before', lines: 'even' },
  { name: 'swapped-fields', detail: 'the lower field is one frame late', beside: 'after', lines: 'odd' },
  { name: 'swapped-fields', detail: 'the lower field is one frame early', beside: 'before', lines: 'odd' },
] as const;

/** Squared error of one frame: as it is, and were it made of the frame after or before. */
interface Seen {
  readonly base: number;
  readonly left: Readonly<Record<Beside, number | null>>;
}

/** A frame follows an offset that leaves at most this of its error: one of two frames late leaves 0.25 ... */
const FOLLOWS = 0.2;
/**
 * ... and several times less than the opposite offset would. A frame of another picture is explained by
 * neither: those on either side of it are as like what should stand there.
 */
const TIMES_THE_OPPOSITE = 2;
/** Frames that have to follow. A single one may be a frame that was replaced. */
const FEWEST = 2;

/** A whole frame late or early, or one of its two fields: told by the frames, one by one. */
export function suspectOtherFrame(form: PairForm): Suspicion {
  const planes = lightPlanes(form);
  const seen: Record<Lines, Seen[]> = { all: [], even: [], odd: [] };
  return {
    see(pair) {
      const by = (other: FramePlanes, lines: Lines): number =>
        planes.reduce((sum, plane) => sum + errorOf(pair, other, plane, lines), 0);
      const base = by(pair.copy, 'all');
      for (const lines of ['all', 'even', 'odd'] as const) {
        const left = ([pair.before, pair.after] as const).map((other) => other && by(other, lines));
        seen[lines].push({ base, left: { before: left[0] ?? null, after: left[1] ?? null } });
      }
    },
    found: () =>
      KINDS.flatMap(({ name, detail, beside, lines }): Explained[] => {
        const sum = followed(seen[lines], beside);
        return sum === null ? [] : [{ name, detail, ...sum }];
      }),
  };
}

/** Error of the frames that follow an offset; null where not most of those that tell do. */
function followed(frames: readonly Seen[], beside: Beside): { base: number; left: number } | null {
  const sum = { base: 0, left: 0 };
  let [follow, not] = [0, 0];
  for (const { base, left } of frames) {
    const is = left[beside];
    const opposite = left[beside === 'after' ? 'before' : 'after'];
    if (is === null) continue;
    if (is <= FOLLOWS * base && (opposite === null || opposite > TIMES_THE_OPPOSITE * is)) {
      follow++;
      sum.base += base;
      sum.left += is;
      // Where nothing moves both are alike, and tell nothing.
    } else if (is > base) not++;
  }
  return follow >= FEWEST && follow > not ? sum : null;
}

/** Squared error of a plane whose lines, or those of one field, are taken from `other`. */
function errorOf({ original, copy }: FramePair, other: FramePlanes, index: number, lines: Lines): number {
  const [had, is, beside] = [original[index], copy[index], other[index]];
  if (had === undefined || is === undefined || beside === undefined) return 0;
  let sum = 0;
  for (const y of sampledLines(is.width, is.height)) {
    const isOther = lines === 'all' || (y % 2 === 0) === (lines === 'even');
    const { codes } = isOther ? beside : is;
    for (let x = 0; x + RUN <= is.width; x += RUN) {
      let error = 0;
      for (let i = y * is.width + x; i < y * is.width + x + RUN; i++)
        error += (codes[i] ?? 0) - (had.codes[i] ?? 0);
      sum += error * error;
    }
  }
  return sum;
}
