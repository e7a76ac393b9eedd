/**
 * The cheapest way through a run of frames: each frame is in one state, being in it costs something, and so
 * does changing to another (Viterbi's method; the same cost for every change). Ties keep the state. One byte
 * per frame and state is stored.
 *
 * @param states at most 255.
 * @param cost of frame being in a state, 0 or more.
 * @returns the state of each frame.
 */
export function likelyPath(
  frames: number,
  states: number,
  change: number,
  cost: (frame: number, state: number) => number,
): Uint8Array {
  const path = new Uint8Array(frames);
  if (frames === 0) return path;
  let sums = Float64Array.from({ length: states }, (_, state) => cost(0, state));
  /** 1 where a state was entered at this frame; the state it came from is the frame's cheapest before it. */
  const entered = new Uint8Array(frames * states);
  const cheapest = new Uint8Array(frames);
  for (let frame = 1; frame < frames; frame++) {
    const best = indexOfLeast(sums);
    cheapest[frame] = best;
    const changed = (sums[best] ?? 0) + change;
    const next = new Float64Array(states);
    for (let state = 0; state < states; state++) {
      const kept = sums[state] ?? 0;
      const enters = changed < kept;
      if (enters) entered[frame * states + state] = 1;
      next[state] = (enters ? changed : kept) + cost(frame, state);
    }
    sums = next;
  }
  let state = indexOfLeast(sums);
  for (let frame = frames - 1; frame >= 0; frame--) {
    path[frame] = state;
    if (entered[frame * states + state] === 1) state = cheapest[frame] ?? 0;
  }
  return path;
}

/** Runs of equal states, half open. */
export function runsOfStates(path: Uint8Array): { state: number; from: number; to: number }[] {
  const runs: { state: number; from: number; to: number }[] = [];
  path.forEach((state, frame) => {
    const last = runs.at(-1);
    if (last?.state === state) last.to = frame + 1;
    else runs.push({ state, from: frame, to: frame + 1 });
  });
  return runs;
}

function indexOfLeast(sums: Float64Array): number {
  let least = 0;
  for (let i = 1; i < sums.length; i++) if ((sums[i] ?? 0) < (sums[least] ?? 0)) least = i;
  return least;
}
