import type { StudyColumns } from '../recording/frame-study.js';
import type { FieldColumn } from './field-study.js';

/**
 * What a frame says of its scan by itself: `progressive`, `top` or `bottom` field first, `null`: nothing.
 * `maybe-`: fields without combing that a person could see; progressive where coarse coding may have taken
 * the combing. How: the lines of a moving picture differ the more, the
 * further apart in time they are. In field times of 1, the two fields of one frame are 0 apart (progressive)
 * or 1. The even lines of the frame before and the odd lines of this one are 2 apart (progressive), 3 (top
 * field first) or 1 (bottom field first); the odd lines before and the even lines here are 2, 1 or 3 apart.
 * So with F, E, O for the differences,
 *
 *     lean = (E - O) / (E + O)         0 progressive, > 0 top field first, < 0 bottom field first
 *     rise = 1 - F / mean(E, O)        > 0 progressive, = |lean| interlaced, 0 or less with pulldown
 *
 * whatever the picture's own detail is, which adds to all three.
 */
export type Vote =
  | 'progressive'
  | 'maybe-progressive'
  | 'top'
  | 'bottom'
  | 'maybe-top'
  | 'maybe-bottom'
  | null;

/**
 * How the frame follows the previous one: `moves`; `even` or `odd`: only these lines are repeated; `whole`:
 * both are; `shifted`: a field of this frame and one of the previous frame show the same picture; null: too
 * little motion nearby.
 */
export type Step = 'moves' | 'even' | 'odd' | 'whole' | 'shifted' | null;

export interface FieldEvidence {
  readonly votes: readonly Vote[];
  readonly steps: readonly Step[];
  /** Frames whose lines are from different times over a relevant area. */
  readonly combed: readonly boolean[];
}

/**
 * Least moving area (common practice, no source; like all limits here, set with pictures of known scan).
 */
const LEAST_AREA = 0.002;
/** Lean or rise above that of grain alone. */
const CLEAR = 0.12;
/** Largest difference between lean and rise for slow interlaced motion. */
const EXACT = 0.12;
/**
 * Combing as strong as this outlives even the coarsest coding: half of the change from frame to frame, in
 * 8-bit codes.
 */
const OUTLIVES_CODING = 10;
/**
 * Weaker combing would have been kept where detail as fine and clearly stronger was, however much grain makes
 * it lean. Textures of a few lines look like 0.95 of it after H.264 has taken the combing.
 */
const FINE_DETAIL = 1.25;
/** Lean that is none: by itself (grain leans as much), and against rise. */
const UPRIGHT = 0.04;
const UPRIGHT_SHARE = 0.1;
/**
 * Rise, against lean, where fields of one picture lie in two frames. The two fields of a frame are 2 apart
 * then, the lines of one parity 0 and those of the other 4. So it rises by about nothing, or by anything
 * below that in motion so fast that pictures 2 and 4 apart have nothing in common: then it leans strongly and
 * combs all over.
 */
const CROSSED = 0.4;
const CROSSED_FAR = -0.3;
const FAST_LEAN = 0.6;
const FAST_ROUGHNESS = 2;
/**
 * A repeated field changes by less than this share of what the other does. Coding leaves some, strong
 * compression a good deal.
 */
const REPEATED = 0.45;
/** A repeated frame changes by less than this share of what moving frames around it do. */
const REPEATED_WHOLE = 0.15;
/**
 * Least change, as a fraction of a neighbour's, that counts as the same motion: less is a single cut or
 * flash.
 */
const ALIKE = 0.4;
/** Least combed area, of the picture and of the moving area. */
const COMBED_AREA = 0.005;
const COMBED_SHARE = 0.1;

/** The file's codec proves nothing here: what it holds may have been coded coarsely before. */
export function fieldEvidence(columns: StudyColumns<FieldColumn>): FieldEvidence {
  const frames = columns.fieldChange.length;
  const votes: Vote[] = [];
  const steps: Step[] = [];
  const combed: boolean[] = [];
  for (let frame = 0; frame < frames; frame++) {
    const seen = frameSums(columns, frame);
    const around = motionAround(columns.fieldChange, frame);
    // A single change among still frames: a cut, or a picture that jumps, not motion.
    const alone = !(around >= ALIKE * seen.change);
    const repeats = seen.change < REPEATED_WHOLE * around;
    votes.push(alone || repeats ? null : voteOf(seen));
    steps.push(stepOf(seen, around));
    combed.push(isCombed(seen));
  }
  return { votes, steps, combed };
}

interface FrameSums {
  readonly moving: number;
  readonly combed: number;
  readonly lean: number;
  readonly rise: number;
  /** Lines against neighbours in the frame, in units of lines against neighbours in their field. */
  readonly roughness: number;
  readonly even: number;
  readonly odd: number;
  readonly change: number;
  /** Combing that fields would show, in 8-bit codes from line to line. */
  readonly combing: number;
  /** Detail as fine as combing that is there, against that combing. */
  readonly fine: number;
}

function frameSums(columns: StudyColumns<FieldColumn>, frame: number): FrameSums {
  const at = (column: FieldColumn): number => columns[column][frame] ?? Number.NaN;
  const weaveEven = at('fieldWeaveEven');
  const weaveOdd = at('fieldWeaveOdd');
  const weave = weaveEven + weaveOdd;
  return {
    moving: at('fieldMoving'),
    combed: at('fieldCombed'),
    lean: (weaveEven - weaveOdd) / weave,
    rise: 1 - at('fieldRoughFrame') / weave,
    roughness: at('fieldRoughFrame') / Math.max(at('fieldRoughField'), 1),
    even: at('fieldChangeEven'),
    odd: at('fieldChangeOdd'),
    change: at('fieldChange'),
    combing: at('fieldMotion') / 2,
    fine:
      fineDetail(at('fieldRoughFrame'), at('fieldRoughField')) /
      (at('fieldChangeEven') + at('fieldChangeOdd')),
  };
}

/**
 * Detail as fine as lines, in sums of change of all rows: second differences of what is smooth grow with the
 * square of the distance, so by 4 from frame to field; those of what is new in every line are equal. With S
 * and N for the two, frame^2 = S^2 + N^2 and field^2 = 16 S^2 + N^2. A second difference is twice the
 * combing, of two rows in eight, and combing is half the change.
 */
function fineDetail(roughFrame: number, roughField: number): number {
  return 4 * Math.sqrt(Math.max(0, (16 * roughFrame ** 2 - roughField ** 2) / 15));
}

function showsCombing({ combed, moving, roughness }: FrameSums): boolean {
  return combed >= COMBED_SHARE * moving || roughness > 0.75;
}

/** Strokes that are whole lines thick can change the lines of one field only. */
function fieldsMoveAlike({ even, odd }: FrameSums): boolean {
  return Math.min(even, odd) > 0.8 * Math.max(even, odd);
}

function voteOf(seen: FrameSums): Vote {
  const { moving, lean, rise, roughness, combed } = seen;
  if (!(moving >= LEAST_AREA) || !Number.isFinite(lean)) return null;
  const tilt = Math.abs(lean);
  if (rise > CLEAR && tilt < 0.35 * rise && combed < COMBED_SHARE * 0.5 * moving && roughness < 1) {
    if (seen.fine >= FINE_DETAIL) return 'progressive';
    return seen.combing >= OUTLIVES_CODING && tilt < Math.max(UPRIGHT, UPRIGHT_SHARE * rise)
      ? 'progressive'
      : 'maybe-progressive';
  }
  if (tilt > CLEAR && tilt > 0.6 * rise && showsCombing(seen)) return lean > 0 ? 'top' : 'bottom';
  // Slow motion: too little for combing, yet as it must be. Lines of a picture that moves up or down by whole
  // lines lean too now and then, but hardly ever by just as much as they rise.
  const asInterlaced = Math.abs(tilt - rise) < EXACT * rise || rise < CROSSED * tilt;
  if (tilt > CLEAR && asInterlaced && fieldsMoveAlike(seen)) return lean > 0 ? 'maybe-top' : 'maybe-bottom';
  return null;
}

function stepOf(seen: FrameSums, around: number): Step {
  if (Number.isNaN(seen.change)) return null;
  if (around > 0 && seen.change < REPEATED_WHOLE * around) return 'whole';
  if (!(seen.moving >= LEAST_AREA) || !(around >= ALIKE * seen.change)) return null;
  if (seen.even < REPEATED * seen.odd) return 'even';
  if (seen.odd < REPEATED * seen.even) return 'odd';
  if (seen.change < ALIKE * around) return null;
  const tilt = Math.abs(seen.lean);
  if (!(tilt > CLEAR || seen.rise > CLEAR)) return null;
  const isFast = tilt > FAST_LEAN && seen.roughness > FAST_ROUGHNESS;
  const timesCross = tilt > CLEAR && seen.rise < CROSSED * tilt && (isFast || seen.rise > CROSSED_FAR * tilt);
  return timesCross && (showsCombing(seen) || fieldsMoveAlike(seen)) ? 'shifted' : 'moves';
}

function isCombed(seen: FrameSums): boolean {
  return seen.combed >= COMBED_AREA && seen.combed >= COMBED_SHARE * seen.moving;
}

/** Frames on either side that are examined for motion. */
const NEIGHBOURS = 4;
/** Mean change of a pixel, 8-bit codes, below which a repeated frame looks like a still one. */
const LEAST_CHANGE = 0.1;

/**
 * The second largest change among the neighbours of a frame (one alone may be a cut); 0 where nothing moves.
 */
function motionAround(change: Float64Array, frame: number): number {
  let first = 0;
  let second = 0;
  for (let other = frame - NEIGHBOURS; other <= frame + NEIGHBOURS; other++) {
    const value = other === frame ? 0 : (change[other] ?? 0);
    if (value > first) {
      second = first;
      first = value;
    } else if (value > second) second = value;
  }
  return second >= LEAST_CHANGE ? second : 0;
}
