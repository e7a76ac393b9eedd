import type { Timestamps } from '../../measure/decoding/timeline.js';
import type { FrameFigures } from '../../measure/figures/frame-table.js';
import { SIGNATURE } from '../../measure/picture/recording/studies.js';
import {
  SIGNATURE_SIDE,
  SIGNATURE_VALUES,
  type Signatures,
  unpackSignatures,
} from '../../measure/picture/signature/packed-signature.js';

/** What is kept of the frames of a measured file until it is compared: 192 bytes of each. */
export interface SeenFrames {
  readonly signatures: Signatures;
  /** Null where not every frame has a time stamp. */
  readonly stamps: Timestamps | null;
}

/** Of the figures that a measurement hands out; null where they hold no signatures. */
export function seenFrames({ totals, stamps }: FrameFigures): SeenFrames | null {
  const columns = totals.studies[SIGNATURE];
  return columns === undefined ? null : { signatures: unpackSignatures(columns), stamps };
}

/** Signatures of the picture turned clockwise. */
export function turned(signatures: Signatures, degrees: 0 | 90 | 180 | 270): Signatures {
  if (degrees === 0) return signatures;
  const places = [
    ...turnedFields(SIGNATURE_SIDE, degrees, 0),
    ...[64, 80].flatMap((from) => turnedFields(SIGNATURE_SIDE / 2, degrees, from)),
  ];
  const upright = new Float64Array(SIGNATURE_VALUES);
  return {
    ...signatures,
    read(frame, into) {
      signatures.read(frame, upright);
      for (const [to, from] of places.entries()) into[to] = upright[from] ?? 0;
    },
  };
}

function turnedFields(side: number, degrees: 90 | 180 | 270, first: number): number[] {
  const last = side - 1;
  return Array.from({ length: side * side }, (_, field) => {
    const [row, column] = [Math.floor(field / side), field % side];
    if (degrees === 180) return first + (last - row) * side + last - column;
    return first + (degrees === 90 ? (last - column) * side + row : column * side + last - row);
  });
}

/**
 * Which frame of an original each frame of an evened copy shows, as ffmpeg's filter `fps` decides it:
 * the last one whose rounded time has come.
 *
 * @param rate frames a second of the copy
 */
export function evenedFrames(
  { ticks, timeBase }: Timestamps,
  rate: { readonly num: number; readonly den: number },
  round: 'near' | 'up' | 'down',
  frames: number,
): Int32Array {
  const rounded = { near: Math.round, up: Math.ceil, down: Math.floor }[round];
  const scale = (timeBase.num * rate.num) / (timeBase.den * rate.den);
  const at = (frame: number): number => rounded((ticks[frame] ?? 0) * scale);
  const first = at(0);
  let shown = 0;
  return Int32Array.from({ length: frames }, (_, frame) => {
    while (shown + 1 < ticks.length && at(shown + 1) - first <= frame) shown++;
    return shown;
  });
}
