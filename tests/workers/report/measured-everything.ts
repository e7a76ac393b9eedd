import { FLASH_CAUTION, FLASH_LIMITS, FLASH_STANDARD } from '../../../jobs/measurement/measured-flashes.js';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { type Change, measured } from '../judge/measured.js';

const at = (from: number, to: number) => ({
  from,
  to,
  fromTimecode: `10:00:0${Math.floor(from / 25)}:${String(from % 25).padStart(2, '0')}`,
  toTimecode: `10:00:0${Math.floor(to / 25)}:${String(to % 25).padStart(2, '0')}`,
});
const nothing = { places: 0, frames: 0, ranges: [] };

/** A measurement with a figure in every place: an invented programme in which everything happens. */
export function everything(...changes: readonly Change[]): Measurement {
  return measured((m) => {
    m.temporal = {
      black: { level: 0.105, area: 0.9, places: 1, frames: 11, ranges: [at(30, 41)] },
      constantColour: { level: 0.105, area: 0.9, ...nothing, ranges: [] },
      freeze: {
        db: -60,
        leastFrames: 13,
        places: 1,
        frames: 60,
        ranges: [{ ...at(60, 120), identical: true }],
      },
      duplicate: {
        places: 2,
        frames: 2,
        ranges: [at(130, 131), at(140, 141)],
        regular: { frames: 5, ranges: [{ ...at(150, 175), every: 5 }] },
      },
      missingMotion: { ...nothing },
      shortShot: {
        below: 12,
        places: 1,
        frames: 2,
        ranges: [at(180, 182)],
        cuts: 7,
        unclear: { places: 0, ranges: [] },
      },
      activePicture: {
        leastBar: 2,
        area: { left: 0, top: 138, width: 1920, height: 804 },
        framesTold: 239,
        others: {
          places: 1,
          frames: 20,
          ranges: [{ ...at(200, 220), area: { left: 240, top: 0, width: 1440, height: 1080 } }],
        },
      },
      blankEdge: { places: 1, frames: 4, ranges: [{ ...at(222, 226), side: 'left', lines: 3 }] },
    };
    m.fields = {
      scan: 'interlaced-tff',
      confidence: 'high',
      framesTold: { progressive: 3, topFirst: 200, bottomFirst: 0 },
      segments: { places: 1, ranges: [{ ...at(0, 250), scan: 'interlaced-tff' }] },
      combed: { places: 1, frames: 12, ranges: [at(12, 24)], worstFrame: 13, worstArea: 0.25 },
      cadence: {
        name: '2:3',
        confidence: 'low',
        segments: { places: 1, ranges: [{ ...at(0, 250), name: '2:3' }] },
        breaks: { places: 1, ranges: [at(100, 101)] },
      },
    };
    m.effective = { raster: { width: 1280, height: 720, confidence: 'low' } };
    m.flashes = {
      standard: FLASH_STANDARD,
      model: {
        signal: 'pq',
        display: 'a display',
        peak: 1000,
        cell: 8,
        secondFrames: 25,
        saturatedRed: 'red',
      },
      general: {
        worstSecond: { ...at(25, 50), flashes: 4.5, area: 0.5, areaAtMost: 0.51 },
        ranges: [at(25, 50)],
        nearLimit: [at(50, 75)],
        outOfStep: [at(75, 100)],
      },
      red: { worstSecond: null, ranges: [], nearLimit: [], outOfStep: [] },
      sustained: [at(0, 150)],
      fineDetail: [at(75, 100)],
      notScreened: [...FLASH_LIMITS],
      caution: FLASH_CAUTION,
    };
    m.exposure = {
      transfer: 'S-Log3',
      medianStops: -1.25,
      percentileStops: { p1: -7, p10: -4, p90: 1.5, p99: 3 },
      clippedArea: 0,
      noiseFloorArea: 0.3,
      advice: 'Look at the shadows before lifting them.',
    };
    if (m.luminance !== null) {
      m.luminance.activeMaxFall = { nits: 240, frame: 31 };
      m.luminance.overMastering = { frames: 3, ranges: [at(30, 33)] };
    }
    for (const change of changes) change(m);
  });
}
