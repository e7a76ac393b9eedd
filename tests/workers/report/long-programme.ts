import { MOST_POINTS } from '../../../jobs/measurement/measured-curves.js';
import type { CodeHistogram } from '../../../jobs/measurement/measured-histograms.js';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import type { RequirementSet } from '../../../jobs/requirements/requirement.js';
import { requirementSet } from '../../../jobs/requirements/requirement.js';
import { measuredOf } from './html/html-batch.js';

/**
 * Invented measurements of PQ masters, of any length. Figures are made up so that every drawing has work to
 * do.
 */

export function sdrVideo(): NonNullable<Measurement['video']> {
  const { video } = measuredOf('v');
  if (video === null) throw new Error('the fixture has a picture');
  return video;
}

export interface Asked {
  readonly target: string;
  readonly require: RequirementSet;
}

/** A PQ master of so many frames at 25 a second: 100 cd/m2, but 1,600 at frame 100. */
export function hdrMaster(frames: number): { measurement: Measurement; asked: Asked[] } {
  const framesPerPoint = Math.ceil(frames / MOST_POINTS);
  const length = Math.ceil(frames / framesPerPoint);
  const curve = (of: (point: number) => number) => Array.from({ length }, (_, point) => of(point));
  // Deterministic unrest: a flat line would be drawn with far fewer bytes than a real one.
  const unrest = (point: number) => ((point * 7919) % 97) / 97;
  const seconds = frames / 25;
  const secondsPerPoint = Math.max(0.1, seconds / MOST_POINTS);
  const soundPoints = Math.floor(seconds / secondsPerPoint);
  const peakPoint = Math.floor(100 / framesPerPoint);
  const histogram = (): CodeHistogram => ({
    firstCode: 64,
    codesPerBin: 1,
    counts: Array.from({ length: 877 }, (_, code) => Math.round(1e6 * unrest(code))),
  });
  const base = measuredOf('/masters/long PQ.mov');
  const measurement = measuredOf('/masters/long PQ.mov', {
    video: { ...sdrVideo(), frames, framesDeclared: frames, durationSeconds: seconds },
    container: { ...base.container, durationSeconds: seconds },
    luminance: {
      maxCll: 1600,
      maxCllFrame: 100,
      maxFall: 120,
      maxFallFrame: 100,
      activeMaxFall: null,
      overMastering: null,
      p9999: 1500,
      displayPeak: null,
      declared: { maxCll: 1000, maxFall: 200, masteringMin: 0.005, masteringMax: 4000 },
      outsideP3: null,
    },
    histograms: {
      luma: histogram(),
      cb: histogram(),
      cr: histogram(),
      red: histogram(),
      green: histogram(),
      blue: histogram(),
    },
    curves: {
      picture: {
        framesPerPoint,
        levelMin: curve((point) => -1 + unrest(point)),
        levelMax: curve((point) => 70 + 30 * unrest(point)),
        gamutArea: curve(() => 0),
        light: {
          max: curve((point) =>
            point === peakPoint ? 1600 : 100 + (frames > 1000 ? 800 * unrest(point) : 0),
          ),
          p9999: curve((point) => 60 + 30 * unrest(point)),
          average: curve((point) => 10 + 5 * unrest(point)),
        },
      },
      sound: [
        {
          stream: 1,
          secondsPerPoint,
          momentary: Array.from({ length: soundPoints }, (_, point) =>
            point < 4 ? null : -30 + 12 * unrest(point),
          ),
          shortTerm: Array.from({ length: soundPoints }, (_, point) =>
            point < 30 ? null : -25 + 4 * unrest(point),
          ),
        },
      ],
    },
  });
  const require = requirementSet.parse({
    'peak-luminance': { max: 1000 },
    'signal-range': {},
    loudness: { target: -23, tolerance: 0.5 },
  });
  return { measurement, asked: [{ target: 'house-pq', require }] };
}
