import type { StudyColumns } from '../recording/frame-study.js';

/** G' in 8 x 8 fields of the picture, R' and B' in 4 x 4, row by row. */
export const SIGNATURE_SIDE = 8;
export const SIGNATURE_VALUES = 96;

/** Values packed into one number: four of 13 bits are exact in double precision. */
const PACKED = 4;
const BITS = 2 ** 13;
/** Signals that are told apart; those outside count as the nearest. */
const [LOWEST, SPAN] = [-0.25, 1.5];
/** The smallest step of a value, as a signal: a twentieth of a code at 8 bits. */
export const SIGNATURE_STEP = SPAN / (BITS - 1);

export const SIGNATURE_COLUMNS: readonly string[] = Array.from(
  { length: SIGNATURE_VALUES / PACKED },
  (_, index) => `mark${index}`,
);

/** Values as the numbers of one row. */
export function packSignature(values: Float64Array): Record<string, number> {
  const row: Record<string, number> = {};
  for (const [index, name] of SIGNATURE_COLUMNS.entries()) {
    let packed = 0;
    for (let i = PACKED - 1; i >= 0; i--) packed = packed * BITS + stepOf(values[index * PACKED + i] ?? 0);
    row[name] = packed;
  }
  return row;
}

function stepOf(value: number): number {
  const step = Math.round((value - LOWEST) / SIGNATURE_STEP);
  return step > 0 ? Math.min(step, BITS - 1) : 0;
}

/** Short descriptions of all frames of a picture, as signals of fields of it. */
export interface Signatures {
  readonly frames: number;
  /** Values of a frame. */
  readonly values: number;
  /** Writes those of a frame into an array of that length. */
  read(frame: number, into: Float64Array): void;
}

/** Signatures of the frames of a file, from the columns of its study. */
export function unpackSignatures(columns: StudyColumns<string>): Signatures {
  const packed = SIGNATURE_COLUMNS.map((name) => columns[name] ?? new Float64Array(0));
  return {
    frames: packed[0]?.length ?? 0,
    values: SIGNATURE_VALUES,
    read(frame, into) {
      for (const [index, column] of packed.entries()) {
        let rest = column[frame] ?? 0;
        for (let i = 0; i < PACKED; i++) {
          into[index * PACKED + i] = LOWEST + (rest % BITS) * SIGNATURE_STEP;
          rest = Math.floor(rest / BITS);
        }
      }
    },
  };
}
