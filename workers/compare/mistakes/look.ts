import { type Codes, forEachColour } from './colour-samples.js';
import type { PairForm, Suspicion } from './mistake.js';

/** Cells of a colour cube, along each side. */
const SIDE = 16;
/** A cell with fewer samples explains nothing: it would follow each of them. */
const LEAST_SAMPLES = 8;
/** Below this RMS of the difference, of the scale, flat colours and a coder's rounding look the same. */
const LEAST_DIFFERENCE = 0.01;
/** The change has to leave the picture: what is left of it, of its own spread. */
const MOST_LOST = 0.1;

/**
 * A look, or another curve or gamut: each colour of the original became one colour of the copy, wherever it
 * stands. The difference is averaged in the cells of a cube of colours; what a cell does not explain is left.
 */
export function suspectLook(form: PairForm): Suspicion {
  const cells = SIDE ** 3;
  const counts = new Float64Array(cells);
  const sums = new Float64Array(3 * cells);
  const squares = new Float64Array(cells);
  const spread = { n: 0, mean: [0, 0, 0] as Codes, squares: 0 };
  const scale = 2 ** form.depth;
  const cellOf = (code: number): number => Math.min(SIDE - 1, Math.floor((code / scale) * SIDE));
  return {
    see: ({ original, copy }) =>
      forEachColour(original, copy, (o, c) => {
        const cell = (cellOf(o[0]) * SIDE + cellOf(o[1])) * SIDE + cellOf(o[2]);
        counts[cell] = (counts[cell] ?? 0) + 1;
        spread.n++;
        for (let plane = 0; plane < 3; plane++) {
          const is = (c[plane] ?? 0) / scale;
          const difference = is - (o[plane] ?? 0) / scale;
          sums[3 * cell + plane] = (sums[3 * cell + plane] ?? 0) + difference;
          squares[cell] = (squares[cell] ?? 0) + difference * difference;
          spread.mean[plane] = (spread.mean[plane] ?? 0) + is;
          spread.squares += is * is;
        }
      }),
    found() {
      if (spread.n === 0) return [];
      let [base, left] = [0, 0];
      for (let cell = 0; cell < cells; cell++) {
        const n = counts[cell] ?? 0;
        const all = squares[cell] ?? 0;
        base += all;
        left += all;
        if (n < LEAST_SAMPLES) continue;
        for (let plane = 0; plane < 3; plane++) left -= (sums[3 * cell + plane] ?? 0) ** 2 / n;
      }
      const ofCopy = spread.squares - spread.mean.reduce((sum, mean) => sum + mean ** 2 / spread.n, 0);
      const isMuch = Math.sqrt(base / (3 * spread.n)) >= LEAST_DIFFERENCE;
      if (!isMuch || left > MOST_LOST * ofCopy) return [];
      const detail =
        'each colour of the original became another, wherever it stands: a look or another curve';
      return [{ name: 'look', detail, base: base * scale ** 2, left: Math.max(0, left) * scale ** 2 }];
    },
  };
}
