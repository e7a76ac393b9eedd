import type { ScanName } from '../../../jobs/manifest/colour.js';
import type { MeasuredEffective } from '../../../jobs/measurement/measured-effective.js';
import type { CadenceName, MeasuredFields } from '../../../jobs/measurement/measured-fields.js';
import type { RequirementName } from '../../../jobs/requirements/requirement.js';
import type { Finding } from '../../../jobs/verdict/verdict.js';
import { type Change, note, noVideo, video } from './measured.js';

type Row = readonly [what: string, limits: object, change: Change, outcome: Finding['outcome']];
type Span<Name> = readonly [name: Name, from: number, to: number];

const range = (from: number, to: number) => ({ from, to, fromTimecode: null, toTimecode: null });

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
function fields(found: Fields): Change {
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

const interlaced = (change: Change): Change => {
  return (m) => {
    video((v) => Object.assign(v, { scan: 'interlaced-tff' }))(m);
    change(m);
  };
};
const progressive = fields({ scan: 'progressive' });
const top = fields({ scan: 'interlaced-tff' });
const bottom = fields({ scan: 'interlaced-bff' });
const still = fields({ scan: null, confidence: 'low', cadence: null });
const reversed = fields({
  scan: 'interlaced-tff',
  segments: [
    ['interlaced-tff', 0, 100],
    ['interlaced-bff', 100, 120],
    ['interlaced-tff', 120, 250],
  ],
});
const both =
  (...changes: readonly Change[]): Change =>
  (m) => {
    for (const change of changes) change(m);
  };

const effective = (raster: Partial<MeasuredEffective['raster']> = {}, chroma: object = {}): Change => {
  return (m) => {
    m.effective = { raster: { width: 1920, height: 1080, confidence: 'high', ...raster } };
    if (m.video !== null) Object.assign(m.video.chroma, chroma);
  };
};
const declared444 = { declared: '4:4:4' };

export const FIELD_ROWS = {
  'field-order': [
    ['as stated', {}, progressive, 'pass'],
    ['as stated, top first', {}, interlaced(top), 'pass'],
    ['as asked for', { is: ['interlaced-tff'] }, top, 'pass'],
    ['interlaced, stated progressive', {}, top, 'fail'],
    ['the other field first', {}, interlaced(bottom), 'fail'],
    ['the other field first in a part', {}, interlaced(reversed), 'fail'],
    ['in a part that is not judged', { regions: [{ from: 120, to: 200 }] }, interlaced(reversed), 'pass'],
    ['in a part that is judged', { regions: [{ from: 110, to: 115 }] }, interlaced(reversed), 'fail'],
    ['progressive in an interlaced file', {}, interlaced(progressive), 'pass'],
    [
      'progressive, where segmented frames are not wanted',
      { segmented: false },
      interlaced(progressive),
      'fail',
    ],
    ['one combed frame', {}, fields({ scan: 'progressive', combed: [[30, 31]] }), 'fail'],
    [
      'combed frames that are let pass',
      { maxCombedFrames: 2 },
      fields({ scan: 'progressive', combed: [[30, 32]] }),
      'pass',
    ],
    ['one more', { maxCombedFrames: 2 }, fields({ scan: 'progressive', combed: [[30, 33]] }), 'fail'],
    ['too still', {}, still, 'unmeasured'],
    ['too still, no proof asked for', { proof: false }, still, 'pass'],
    [
      'perhaps the other field first',
      {},
      interlaced(fields({ scan: 'interlaced-bff', confidence: 'low' })),
      'warn',
    ],
    ['perhaps as stated', {}, fields({ scan: 'progressive', confidence: 'low' }), 'unmeasured'],
    [
      'perhaps as stated, no proof asked for',
      { proof: false },
      fields({ scan: 'progressive', confidence: 'low' }),
      'pass',
    ],
    ['more segments than are listed', {}, fields({ scan: 'progressive', unlisted: 1 }), 'unmeasured'],
    [
      'no scan stated',
      {},
      both(
        progressive,
        video((v) => Object.assign(v, { scan: null })),
      ),
      'unmeasured',
    ],
    ['not measured', {}, () => {}, 'unmeasured'],
    ['doubted', {}, both(progressive, note('fields')), 'unmeasured'],
    ['no picture', {}, noVideo, 'fail'],
  ],
  cadence: [
    ['none', {}, progressive, 'pass'],
    ['pulldown left in', {}, fields({ scan: 'interlaced-tff', cadence: '2:3' }), 'fail'],
    ['frames repeated in step', {}, fields({ scan: 'progressive', cadence: 'repeat-1-in-25' }), 'fail'],
    [
      'pulldown that is asked for',
      { is: ['2:3'] },
      fields({ scan: 'interlaced-tff', cadence: '2:3' }),
      'pass',
    ],
    [
      'broken once',
      { is: ['2:3'] },
      fields({ scan: 'interlaced-tff', cadence: '2:3', breaks: [99] }),
      'fail',
    ],
    [
      'broken as often as is let pass',
      { is: ['2:3'], maxBreaks: 1 },
      fields({ scan: 'interlaced-tff', cadence: '2:3', breaks: [99] }),
      'pass',
    ],
    [
      'pulldown in a part',
      {},
      fields({
        scan: 'progressive',
        cadences: [
          ['none', 0, 200],
          ['2:3', 200, 250],
        ],
      }),
      'fail',
    ],
    [
      'pulldown in a part that is not judged',
      { regions: [{ to: 200 }] },
      fields({
        scan: 'progressive',
        cadences: [
          ['none', 0, 200],
          ['2:3', 200, 250],
        ],
      }),
      'pass',
    ],
    ['perhaps pulldown', {}, fields({ scan: null, confidence: 'low', cadence: '2:3' }), 'warn'],
    ['too still', {}, still, 'unmeasured'],
    ['too still, no proof asked for', { proof: false }, still, 'pass'],
    ['more segments than are listed', {}, fields({ scan: 'progressive', unlisted: 1 }), 'unmeasured'],
    ['not measured', {}, () => {}, 'unmeasured'],
    ['doubted', {}, both(progressive, note('fields.cadence')), 'pass'],
    ['all of it doubted', {}, both(progressive, note('fields')), 'unmeasured'],
    ['no picture', {}, noVideo, 'fail'],
  ],
  'effective-chroma': [
    ['as much as is wanted', { least: '4:2:2' }, effective(), 'pass'],
    ['more than is wanted', { least: '4:2:0' }, effective(), 'pass'],
    ['less is declared', { least: '4:4:4' }, effective(), 'fail'],
    ['less is in use', { least: '4:2:2' }, effective({}, { effective: '4:2:0' }), 'fail'],
    [
      'half of it is in use',
      { least: '4:4:4' },
      effective({}, { ...declared444, effective: '4:2:2' }),
      'fail',
    ],
    [
      'perhaps less',
      { least: '4:2:2' },
      effective({}, { effective: '4:2:0', confidence: 'low' }),
      'unmeasured',
    ],
    [
      'perhaps less, no proof asked for',
      { least: '4:2:2', proof: false },
      effective({}, { effective: '4:2:0', confidence: 'low' }),
      'unmeasured',
    ],
    ['not known', { least: '4:2:2' }, effective({}, { effective: null, confidence: 'low' }), 'unmeasured'],
    [
      'not known, no proof asked for',
      { least: '4:2:2', proof: false },
      effective({}, { effective: null, confidence: 'low' }),
      'pass',
    ],
    [
      'not known, and less declared',
      { least: '4:4:4', proof: false },
      effective({}, { effective: null }),
      'fail',
    ],
    ['not looked at, no proof asked for', { least: '4:2:2', proof: false }, () => {}, 'unmeasured'],
    ['doubted', { least: '4:2:2' }, both(effective(), note('video.chroma.effective')), 'unmeasured'],
    ['no picture', { least: '4:2:2' }, noVideo, 'fail'],
  ],
  'effective-raster': [
    ['all of it', {}, effective(), 'pass'],
    ['two thirds each way', {}, effective({ width: 1280, height: 720 }), 'fail'],
    ['three quarters across', {}, effective({ width: 1440 }), 'fail'],
    ['as little as is let pass', { least: 0.75 }, effective({ width: 1440, height: 1080 }), 'pass'],
    ['perhaps two thirds', {}, effective({ width: 1280, confidence: 'low' }), 'unmeasured'],
    [
      'perhaps two thirds, no proof asked for',
      { proof: false },
      effective({ width: 1280, confidence: 'low' }),
      'unmeasured',
    ],
    ['lines not known', {}, effective({ height: null }), 'unmeasured'],
    ['lines not known, half across', {}, effective({ width: 960, height: null }), 'fail'],
    ['nothing known', {}, effective({ width: null, height: null, confidence: 'low' }), 'unmeasured'],
    [
      'nothing known, no proof asked for',
      { proof: false },
      effective({ width: null, height: null, confidence: 'low' }),
      'pass',
    ],
    ['not looked at, no proof asked for', { proof: false }, () => {}, 'unmeasured'],
    ['doubted', {}, both(effective(), note('effective')), 'unmeasured'],
    ['no picture', {}, noVideo, 'fail'],
  ],
} as const satisfies Partial<Record<RequirementName, readonly Row[]>>;
