import {
  FLASH_CAUTION,
  FLASH_STANDARD,
  type Flashes,
  type FlashKind,
} from '../../../../jobs/measurement/measured-flashes.js';
import type { Change } from '../measured.js';

/** Flashes of one kind: none, with changes made to that. */
export function flashKind(change: Partial<FlashKind> = {}): FlashKind {
  return { worstSecond: null, ranges: [], nearLimit: [], outOfStep: [], ...change };
}

/** A programme without a flash, with changes made to that. */
export function screened(change: Partial<Flashes> = {}): Change {
  return (m) => {
    m.flashes = {
      standard: FLASH_STANDARD,
      model: {
        signal: 'pq',
        display: 'display that shows PQ as coded',
        peak: 10_000,
        cell: 16,
        secondFrames: 25,
        saturatedRed: 'R/(R+G+B) of 0.8 or more',
      },
      general: flashKind(),
      red: flashKind(),
      sustained: [],
      fineDetail: [],
      notScreened: [],
      caution: FLASH_CAUTION,
      ...structuredClone(change),
    };
  };
}
