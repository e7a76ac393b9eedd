import type { ScanName } from '../../../../jobs/manifest/colour.js';
import type { CadenceName, MeasuredFields } from '../../../../jobs/measurement/measured-fields.js';
import { range } from '../changes.js';
import { type Change, video } from '../measured.js';

type Span<Name> = readonly [name: Name, from: number, to: number];

interface Fields {
  readonly scan: ScanName | null;
  readonly confidence?: 'high' | 'low';
  readonly segments?: readonly Span<ScanName | null>[];
  readonly combed?: readonly (readonly [from: number, to: number])[];
  readonly cadence?: CadenceName | null;
  readonly cadences?: readonly Span<CadenceName>[];
  readonly breaks?: readonly number[];
  /** Places that are counted and not listed. */
  readonly unlisted?: number;
}

/** Fields of 250 frames. */
export function fields(found: Fields): Change {
  const { scan, confidence = 'high', combed = [], cadence = 'none', breaks = [], unlisted = 0 } = found;
  const segments = found.segments ?? [[scan, 0, 250]];
  const cadences = found.cadences ?? (cadence === null ? [] : [[cadence, 0, 250]]);
  return (m) => {
    const measured: MeasuredFields = {
      scan,
      confidence,
      framesTold: { progressive: 0, topFirst: 0, bottomFirst: 0 },
      segments: {
        places: segments.length + unlisted,
        ranges: segments.map(([name, from, to]) => ({ scan: name, ...range(from, to) })),
      },
      combed: {
        places: combed.length,
        ranges: combed.map(([from, to]) => range(from, to)),
        frames: combed.reduce((sum, [from, to]) => sum + to - from, 0),
        worstFrame: combed[0]?.[0] ?? null,
        worstArea: combed.length > 0 ? 0.2 : 0,
      },
      cadence: {
        name: cadence,
        confidence,
        segments: {
          places: cadences.length + unlisted,
          ranges: cadences.map(([name, from, to]) => ({ name, ...range(from, to) })),
        },
        breaks: { places: breaks.length, ranges: breaks.map((frame) => range(frame, frame + 1)) },
      },
    };
    m.fields = structuredClone(measured);
  };
}

export const interlaced = (change: Change): Change => {
  return (m) => {
    video({ scan: 'interlaced-tff' })(m);
    change(m);
  };
};
export const progressive = fields({ scan: 'progressive' });
export const still = fields({ scan: null, confidence: 'low', cadence: null });
