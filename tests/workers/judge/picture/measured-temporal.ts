import type { MeasuredTemporal } from '../../../../jobs/measurement/measured-temporal.js';
import { both, none, range } from '../changes.js';
import { type Change, note, noVideo } from '../measured.js';
import type { Row } from '../rows.js';

export type Span = readonly [from: number, to: number];
/** Places with what is told of each. `unlisted`: so many more than are listed. */
export function places<T extends object>(of: T, spans: readonly Span[], unlisted = 0) {
  return {
    places: spans.length + unlisted,
    frames: spans.reduce((sum, [from, to]) => sum + to - from, 0) + unlisted,
    ranges: spans.map(([from, to]) => ({ ...range(from, to), ...of })),
  };
}
export const FULL = { left: 0, top: 0, width: 1920, height: 1080 };

/** Nothing to see in 250 frames of 1920 x 1080, with changes made to it. */
export function temporal(change: Partial<MeasuredTemporal> = {}): Change {
  return (m) => {
    m.temporal = {
      black: { level: 0.105, area: 0.9, ...places({}, []) },
      constantColour: { level: 0.105, area: 0.9, ...places({ spread: 0, widestSpread: 0, colour: [] }, []) },
      freeze: { db: -60, leastFrames: 13, ...places({ identical: true }, []) },
      duplicate: { ...places({}, []), regular: { frames: 0, ranges: [] } },
      missingMotion: places({}, []),
      shortShot: { below: 12, ...places({}, []), cuts: 4, unclear: { places: 0, ranges: [] } },
      activePicture: { leastBar: 8, area: FULL, framesTold: 250, others: places({ area: FULL }, []) },
      blankEdge: places({ side: 'top', lines: 1 }, []),
      ...structuredClone(change),
    };
  };
}

export const tooDark: Change = temporal({
  activePicture: { leastBar: 8, area: null, framesTold: 0, others: places({ area: FULL }, []) },
});
/**
 * Asked of any of these: nothing was measured, the measurement is not to be relied on, there is no picture.
 */
export const without = (limits: object): Row[] => [
  ['not measured', limits, none, 'unmeasured'],
  ['not to be relied on', limits, both(temporal(), note('temporal')), 'unmeasured'],
  ['no picture', limits, noVideo, 'fail'],
];
/** 100 to 150 of the 250 frames. */
export const MIDDLE = { regions: [{ from: 100, to: 150 }] };
