/** A clip of a batch on its way, as far as it tells when the batch ends. */
export interface TimedClip {
  readonly state: string;
  /** Seconds of the plan. */
  readonly planned: number | null;
  /** Seconds it took; null while it is not done, or where it was there already. */
  readonly took: number | null;
  /** Part that is done of one in hand. */
  readonly fraction: number | null;
}

/**
 * Seconds until the clips of a batch are done, by how long those took that are done: what the plan says of
 * each that is left, times how much longer or shorter the done ones took than planned, shared among as many
 * as are in hand now. Null while none is done, or none in hand: nothing tells then. Pure.
 */
export function secondsLeft(clips: readonly TimedClip[]): number | null {
  let planned = 0;
  let took = 0;
  for (const clip of clips) {
    if (clip.state !== 'completed' || clip.took === null || clip.planned === null) continue;
    planned += clip.planned;
    took += clip.took;
  }
  const inHand = clips.filter(({ state }) => state === 'active');
  if (planned <= 0 || took <= 0 || inHand.length === 0) return null;
  const left = ({ planned: of, fraction }: TimedClip): number => (of ?? 0) * (1 - (fraction ?? 0));
  const waiting = clips.filter(({ state }) => state === 'waiting' || state === 'delayed');
  const all = [...inHand, ...waiting].reduce((sum, clip) => sum + left(clip), 0);
  // The last one is done by one worker, however many there are.
  const longest = Math.max(...[...inHand, ...waiting].map(left));
  return (took / planned) * Math.max(all / inHand.length, longest);
}
