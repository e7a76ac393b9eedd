/** A value that was not measured there. */
export type Point = number | null;

/** What one drawn point keeps of the points it stands for. */
export type Keep = 'highest' | 'lowest' | 'mean';

/**
 * A curve in at most `most` points. A drawn point keeps the extreme of those it stands for, so that no single
 * bad frame is lost between two of them. Null only where all of them are.
 *
 * @returns the points, and how many of the given ones each stands for (the last may stand for fewer)
 */
export function thin(points: readonly Point[], most: number, keep: Keep): { points: Point[]; each: number } {
  const each = Math.max(1, Math.ceil(points.length / most));
  if (each === 1) return { points: [...points], each };
  const thinned: Point[] = [];
  for (let from = 0; from < points.length; from += each) {
    thinned.push(
      kept(
        points.slice(from, from + each).filter((point) => point !== null),
        keep,
      ),
    );
  }
  return { points: thinned, each };
}

function kept(values: readonly number[], keep: Keep): Point {
  if (values.length === 0) return null;
  if (keep === 'highest') return Math.max(...values);
  if (keep === 'lowest') return Math.min(...values);
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
