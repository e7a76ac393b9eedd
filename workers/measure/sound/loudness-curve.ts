import { MOST_POINTS, type SoundCurve } from '../../../jobs/measurement/measured-curves.js';
import { loudness } from './loudness-gate.js';

const COLUMNS_PER_SECOND = 10;

/**
 * Loudness over time. A column stands for 100 ms and holds the largest mean square of the windows that end in
 * it, so the curve's highest point is the maximum itself. 0.6 MB an hour; points are made of the columns at
 * the end.
 */
export class LoudnessCurve {
  readonly #momentary: number[] = [];
  readonly #shortTerm: number[] = [];

  /** Mean squares of the windows that end in `column`; null while no whole window has passed. */
  add(column: number, momentary: number | null, shortTerm: number | null): void {
    this.#momentary[column] = Math.max(this.#momentary[column] ?? 0, momentary ?? 0);
    this.#shortTerm[column] = Math.max(this.#shortTerm[column] ?? 0, shortTerm ?? 0);
  }

  /** At most MOST_POINTS points. */
  get points(): Omit<SoundCurve, 'stream'> {
    const columns = Math.max(1, Math.ceil(this.#momentary.length / MOST_POINTS));
    return {
      secondsPerPoint: columns / COLUMNS_PER_SECOND,
      momentary: highestOf(this.#momentary, columns),
      shortTerm: highestOf(this.#shortTerm, columns),
    };
  }
}

function highestOf(values: readonly number[], columns: number): (number | null)[] {
  return Array.from({ length: Math.ceil(values.length / columns) }, (_, point) => {
    let highest = 0;
    for (let i = point * columns; i < (point + 1) * columns; i++) highest = Math.max(highest, values[i] ?? 0);
    const lufs = loudness(highest);
    // A hundredth is what a meter shows; a plot needs no more.
    return lufs === null ? null : Math.round(lufs * 100) / 100;
  });
}
