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
  { name: 'progressive', vote: 'progressive', maybe: null },
  { name: 'interlaced-tff', vote: 'top', maybe: 'maybe-top' },
  { name: 'interlaced-bff', vote: 'bottom', maybe: 'maybe-bottom' },
];

/** Two changes cost more than five frames that disagree: shorter runs are combed frames, not a change of scan. */
const CHANGE_COST = 2.5;
/** In interlaced material frames may look progressive: two of five do under pulldown, slow ones now and then. */
const LOOKS_PROGRESSIVE_COST = 0.3;
const MAYBE_COST = 0.35;
/** Frames that must tell their scan before anything is said, and before it is sure. */
const LEAST_VOTES = 3;
const ENOUGH_VOTES = 8;
/** Share of the votes that may contradict a sure answer. */
const CONTRADICTING = 0.1;

/**
 * The scan of a programme over time from what its frames say. Still parts count with what was before them.
 *
 * @param combed frames that show combing, whether or not they tell which field comes first.
 */
export function scanSegments(votes: readonly Vote[], combed: readonly boolean[]): MeasuredScan {
  const told = votes.reduce((sum, vote) => sum + weightOf(vote), 0);
  if (told < LEAST_VOTES) {
    const whole = { scan: null, from: 0, to: votes.length };
    return { scan: null, confidence: 'low', segments: votes.length > 0 ? [whole] : [] };
  }
  const cost = (frame: number, state: number): number => {
    const vote = votes[frame] ?? null;
    const own = SCANS[state];
    if (vote === null && combed[frame] === true) return own?.vote === 'progressive' ? MAYBE_COST : 0;
    if (vote === null || vote === own?.vote || vote === own?.maybe) return 0;
    return vote === 'progressive' ? LOOKS_PROGRESSIVE_COST : weightOf(vote);
  };
  const runs = runsOfStates(likelyPath(votes.length, SCANS.length, CHANGE_COST, cost));
  const segments = runs.map(({ state, from, to }) => ({ scan: SCANS[state]?.name ?? null, from, to }));
  const tally = SCANS.map(({ name, vote }) => {
    const own = segments.filter(({ scan }) => scan === name);
    const within = own.flatMap(({ from, to }) => votes.slice(from, to));
    const combs = own.flatMap(({ from, to }) => combed.slice(from, to)).filter(Boolean).length;
    return {
      name,
      frames: within.length,
      agreeing: within.filter((v) => v === vote).length,
      // A progressive-looking frame in interlaced material is no contradiction; a combed one in progressive material is.
      against:
        vote === 'progressive'
          ? combs
          : within.filter((v) => (v === 'top' || v === 'bottom') && v !== vote).length,
    };
  });
  const most = tally.reduce((a, b) => (b.frames > a.frames ? b : a));
  const against = tally.reduce((sum, entry) => sum + entry.against, 0);
  const sure = most.agreeing >= ENOUGH_VOTES && against <= CONTRADICTING * told;
  return { scan: most.name, confidence: sure ? 'high' : 'low', segments };
}

function weightOf(vote: Vote): number {
  if (vote === null) return 0;
  return vote === 'maybe-top' || vote === 'maybe-bottom' ? MAYBE_COST : 1;
}
