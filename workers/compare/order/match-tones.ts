import { SIGNATURE_VALUES, type Signatures } from '../../measure/picture/signature/packed-signature.js';

/** Values of a signature that share a tone curve: those of G', R' and B'. */
const GROUPS = [0, 64, 80, SIGNATURE_VALUES] as const;
/** Points of a tone curve. */
const POINTS = 33;
/** Frames that are looked at for it. */
const MOST_FRAMES = 500;

interface ToneCurve {
  readonly from: Float64Array;
  readonly to: Float64Array;
}

/**
 * The signatures of an original with the tones of its copy, where that was rendered or has a look: each level
 * becomes the one of the same rank in the copy. The order of the frames plays no part in it. Pure.
 */
export function matchTones(original: Signatures, copy: Signatures): Signatures {
  const curves = GROUPS.slice(1).map((to, index): ToneCurve => {
    const from = GROUPS[index] ?? 0;
    return { from: ranks(original, from, to), to: ranks(copy, from, to) };
  });
  return {
    frames: original.frames,
    values: original.values,
    read(frame, into) {
      original.read(frame, into);
      for (const [index, curve] of curves.entries()) {
        for (let i = GROUPS[index] ?? 0; i < (GROUPS[index + 1] ?? 0); i++)
          into[i] = along(curve, into[i] ?? 0);
      }
    },
  };
}

/** Levels of evenly spread ranks. */
function ranks(signatures: Signatures, from: number, to: number): Float64Array {
  const step = Math.max(1, Math.ceil(signatures.frames / MOST_FRAMES));
  const values = new Float64Array(signatures.values);
  const levels: number[] = [];
  for (let frame = 0; frame < signatures.frames; frame += step) {
    signatures.read(frame, values);
    for (let i = from; i < to; i++) levels.push(values[i] ?? 0);
  }
  const sorted = Float64Array.from(levels).sort();
  return Float64Array.from(
    { length: POINTS },
    (_, point) => sorted[Math.round((point / (POINTS - 1)) * (sorted.length - 1))] ?? 0,
  );
}

function along({ from, to }: ToneCurve, level: number): number {
  let point = 1;
  while (point < POINTS - 1 && level > (from[point] ?? 0)) point++;
  const [a, b] = [from[point - 1] ?? 0, from[point] ?? 0];
  const [c, d] = [to[point - 1] ?? 0, to[point] ?? 0];
  // Beyond its ends the curve goes on level by level.
  if (b <= a || level <= a) return c + (level - a);
  return level >= b ? d + (level - b) : c + ((d - c) * (level - a)) / (b - a);
}
