import type { ScanName } from '../../../../jobs/manifest/colour.js';
import type { Vote } from './field-evidence.js';
import { likelyPath, runsOfStates } from './likely-path.js';

export interface ScanSegment {
  readonly scan: ScanName | null;
  readonly from: number;
  readonly to: number;
}

export interface MeasuredScan {
  readonly scan: ScanName | null;
  readonly confidence: 'high' | 'low';
  readonly segments: readonly ScanSegment[];
}

const SCANS: readonly { readonly name: ScanName; readonly vote: Vote; readonly maybe: Vote }[] = [
  { name: 'progressive', vote: 'progressive', maybe: 'maybe-progressive' },
  { name: 'interlaced-tff', vote: 'top', maybe: 'maybe-top' },
  { name: 'interlaced-bff', vote: 'bottom', maybe: 'maybe-bottom' },
];

/**
 * Two changes cost more than five frames that disagree: shorter runs are combed frames, not a change of scan.
 */
const CHANGE_COST = 2.5;
/**
 * In interlaced material frames may look progressive: two of five do under pulldown, slow ones now and then.
 */
const LOOKS_PROGRESSIVE_COST = 0.3;
/** Combing that does not show which field comes first. */
const COMBED_COST = 0.35;
/**
 * A maybe counts less than a frame that looks progressive: moving letters, sharpening and coding cause some
 * lean.
 */
const MAYBE_COST = 0.15;
/** Weight of a maybe as evidence, relative to a clear frame. */
const MAYBE_WEIGHT = 0.35;
/** Least number of clear frames for a result, and for high confidence. */
const LEAST_VOTES = 3;
const ENOUGH_VOTES = 8;
/** Fraction of the votes that may contradict a result, and one of high confidence. */
const MOST_AGAINST = 0.25;
const CONTRADICTING = 0.1;

interface Run {
  readonly state: number;
  readonly from: number;
  readonly to: number;
}

/** The votes of the frames of a run, compared with its scan. */
interface Tally {
  /** Frames that tell its scan, and those of them that are sure of it. */
  readonly own: number;
  readonly agreeing: number;
  /** Votes for it, maybes by their weight, ... */
  readonly told: number;
  /** ... and against it. */
  readonly against: number;
}

/**
 * The scan of a programme over time from the votes of its frames. Still parts belong to the previous segment.
 * Where frames contradict each other, the result is null.
 *
 * @param combed frames that show combing, whether or not the field order is clear
 * @param pulldown frames that consist of fields, by the cadence
 */
export function scanSegments(
  votes: readonly Vote[],
  combed: readonly boolean[],
  pulldown: readonly number[],
): MeasuredScan {
  const told = votes.reduce((sum, vote) => sum + weightOf(vote), 0);
  if (told < LEAST_VOTES) {
    const whole = { scan: null, from: 0, to: votes.length };
    return { scan: null, confidence: 'low', segments: votes.length > 0 ? [whole] : [] };
  }
  const cost = (frame: number, state: number): number => {
    const vote = votes[frame] ?? null;
    const own = SCANS[state];
    if (vote === null && combed[frame] === true) return own?.vote === 'progressive' ? COMBED_COST : 0;
    if (vote === null || vote === own?.vote || vote === own?.maybe) return 0;
    if (isMaybe(vote)) return MAYBE_COST;
    return looksProgressive(vote) ? LOOKS_PROGRESSIVE_COST : 1;
  };
  const isPulldown = (from: number, to: number): boolean =>
    pulldown.some((frame) => frame >= from && frame < to);
  const runs = runsOfStates(likelyPath(votes.length, SCANS.length, CHANGE_COST, cost)).map((run) => ({
    ...run,
    ...tallyOf(run, votes, combed, isPulldown),
  }));
  // Slight leaning by itself is believed where the whole programme leans one way, and never beside frames
  // that tell another scan.
  const onlyLeans = runs.every(({ own, state }) => own === 0 && state === runs[0]?.state);
  const believed = runs.map((run) => {
    const isTold = run.own >= LEAST_VOTES || (SCANS[run.state]?.vote === 'progressive' && run.against === 0);
    const believes = (isTold || onlyLeans) && run.against <= MOST_AGAINST * run.told;
    return { ...run, scan: believes ? (SCANS[run.state]?.name ?? null) : null };
  });
  const segments = joined(believed);
  const of = (scan: ScanName) => believed.filter((run) => run.scan === scan);
  const most = SCANS.map(({ name }) => ({
    name,
    frames: of(name).reduce((sum, { from, to }) => sum + to - from, 0),
    agreeing: of(name).reduce((sum, { agreeing }) => sum + agreeing, 0),
  })).reduce((a, b) => (b.frames > a.frames ? b : a));
  if (most.frames === 0) return { scan: null, confidence: 'low', segments };
  const against = believed.reduce((sum, run) => sum + (run.scan === null ? run.told : run.against), 0);
  const sure = most.agreeing >= ENOUGH_VOTES && against <= CONTRADICTING * told;
  return { scan: most.name, confidence: sure ? 'high' : 'low', segments };
}

function tallyOf(
  { state, from, to }: Run,
  votes: readonly Vote[],
  combed: readonly boolean[],
  isPulldown: (from: number, to: number) => boolean,
): Tally {
  const scan = SCANS[state];
  const within = votes.slice(from, to);
  const weigh = (counts: (vote: Vote) => boolean): number =>
    within.filter(counts).reduce((sum, vote) => sum + weightOf(vote), 0);
  const agreeing = within.filter((vote) => vote === scan?.vote).length;
  const told = weigh((vote) => vote === scan?.vote || vote === scan?.maybe);
  if (scan?.vote === 'progressive') {
    const combs = combed.slice(from, to).filter(Boolean).length;
    return {
      own: within.filter(looksProgressive).length,
      agreeing,
      told,
      against: Math.max(
        combs,
        weigh((vote) => vote === 'top' || vote === 'bottom'),
      ),
    };
  }
  // Under pulldown two frames of five look progressive, as they are. Else frames that do contradict fields.
  const against = weigh(
    (vote) =>
      vote !== scan?.vote && vote !== scan?.maybe && !(looksProgressive(vote) && isPulldown(from, to)),
  );
  return { own: agreeing, agreeing, told, against };
}

/** Joins consecutive runs of the same scan. */
function joined(runs: readonly ScanSegment[]): readonly ScanSegment[] {
  const segments: { scan: ScanName | null; from: number; to: number }[] = [];
  for (const { scan, from, to } of runs) {
    const last = segments.at(-1);
    if (last?.scan === scan) last.to = to;
    else segments.push({ scan, from, to });
  }
  return segments;
}

/** Slight leaning, which motion of whole lines shows too. */
function isMaybe(vote: Vote): boolean {
  return vote === 'maybe-top' || vote === 'maybe-bottom';
}

function looksProgressive(vote: Vote): boolean {
  return vote === 'progressive' || vote === 'maybe-progressive';
}

function weightOf(vote: Vote): number {
  if (vote === null) return 0;
  return isMaybe(vote) ? MAYBE_WEIGHT : 1;
}
