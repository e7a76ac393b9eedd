/** Gains of each channel to left and right, as factors of its samples. */
export interface StereoGains {
  readonly left: readonly number[];
  readonly right: readonly number[];
}

/** -3 dB. */
const HALF_POWER = Math.SQRT1_2;

/**
 * Left and right gain by loudspeaker: ITU-R BS.775-4, Annex 4, Table 2 (3/2 to 2/0), from memory. Its
 * surround pair is the side or the back pair here; where there are both, each is used. A single surround
 * channel goes to both sides at a further -3 dB, which keeps its power. The LFE is left out, as in the
 * Recommendation.
 */
const GAINS: Readonly<Record<string, readonly [left: number, right: number]>> = {
  FL: [1, 0],
  FR: [0, 1],
  FC: [HALF_POWER, HALF_POWER],
  SL: [HALF_POWER, 0],
  SR: [0, HALF_POWER],
  BL: [HALF_POWER, 0],
  BR: [0, HALF_POWER],
  BC: [0.5, 0.5],
  LFE: [0, 0],
  // Two channels that are folded down already.
  DL: [1, 0],
  DR: [0, 1],
};

/**
 * Folds loudspeakers down to left and right, before any scaling. Null where one of them is not in the table
 * of BS.775 (heights, wide and centre fronts).
 */
export function foldToStereo(speakers: readonly string[]): StereoGains | null {
  const gains = speakers.map((speaker) => GAINS[speaker]);
  if (!gains.every((gain) => gain !== undefined)) return null;
  return { left: gains.map(([left]) => left), right: gains.map(([, right]) => right) };
}

/**
 * The factor, at most 1, by which gains that add to one side must be scaled so that full-scale channels
 * cannot clip.
 */
export function headroomScale(parts: readonly StereoGains[]): number {
  const sum = (side: 'left' | 'right'): number =>
    parts.reduce((all, part) => all + part[side].reduce((a, b) => a + Math.abs(b), 0), 0);
  return 1 / Math.max(1, sum('left'), sum('right'));
}
