import type { SequenceFacts } from '../../jobs/manifest/facts.js';

/** A fault of a sequence and the frames it is about, counted from 0, half open; from = to: none of them. */
export interface FaultyFrames {
  readonly why: string;
  /** As people name them: by their numbers; '' for a fault of no single frame. */
  readonly numbers: string;
  readonly from: number;
  readonly to: number;
}

/** Each run of frames with something wrong, as places in the clip. Pure. */
export function faultyFrames(sequence: SequenceFacts | undefined): FaultyFrames[] {
  return (sequence?.faults ?? []).flatMap(({ why, numbers }) =>
    numbers.length === 0
      ? [{ why, numbers: '', from: 0, to: 0 }]
      : numbers.map((each) => ({ why, numbers: each, ...placeOf(each, sequence) })),
  );
}

function placeOf(numbers: string, sequence: SequenceFacts | undefined): { from: number; to: number } {
  const { first = 0, last = 0 } = sequence ?? {};
  const [from = 0, to = from] = numbers.split('-').map(Number);
  const begin = Math.max(from, first);
  const end = Math.min(to, last);
  // Empty files before the first frame and after the last have no place in the clip.
  return end < begin ? { from: 0, to: 0 } : { from: begin - first, to: end - first + 1 };
}
