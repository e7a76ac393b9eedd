import { describe, expect, it } from 'vitest';
import type { Finding } from '../../../../jobs/verdict/verdict.js';
import { chooseStills } from '../../../../workers/report/stills/choose-stills.js';
import { stillKey } from '../../../../workers/report/stills/still.js';
import { type Change, measured } from '../../judge/measured.js';

const FAULTS: Change = (m) => {
  if (m.levels === null || m.luminance === null) throw new Error('there is a picture');
  Object.assign(m.levels.gamutError, { worstFrame: 40, worstArea: 0.2 });
  m.levels.reservedCodes = { samples: 9, firstFrame: 41 };
  Object.assign(m.luminance, {
    maxCll: 4000,
    maxCllFrame: 42,
    outsideP3: { worstFrame: 43, worstArea: 0.3 },
  });
  m.hdr.lightLevel = { maxCll: 1000, maxFall: 400 };
};

function finding(requirement: string, changes: Partial<Finding> = {}): Finding {
  return {
    requirement,
    outcome: 'fail',
    expected: '',
    limits: {},
    measured: '',
    at: [],
    everyPlace: false,
    why: '',
    advice: '',
    source: null,
    waiver: null,
    ...changes,
  };
}

const at = (from: number, to: number): Finding['at'][number] => ({
  from,
  to,
  fromTimecode: null,
  toTimecode: null,
});

function chosen(findings: readonly Finding[], ...changes: Change[]) {
  const measurement = measured(FAULTS, ...changes);
  const file = measurement.file.path;
  const verdict = { schema: 'goodgate/verdict@1', file, target: 't', verdict: 'fail' } as const;
  return chooseStills(measurement, [{ ...verdict, findings: [...findings] }]);
}

describe('the frame a finding is shown by', () => {
  it.each([
    ['signal-range', 40, { kind: 'signal-range' }, { kind: 'area', value: 0.2 }],
    ['reserved-codes', 41, { kind: 'reserved-codes' }, { kind: 'some' }],
    ['light-level', 42, { kind: 'peak', nits: 3960 }, { kind: 'peak', value: 4000 }],
    ['outside-p3', 43, { kind: 'outside-p3' }, { kind: 'area', value: 0.3 }],
  ] as const)('%s: the worst frame the figure names', (requirement, frame, mark, proof) => {
    const [still, ...more] = chosen([finding(requirement)]);
    expect(more).toEqual([]);
    expect(still).toMatchObject({ frame, mark, proof });
    expect(still?.keys).toEqual([stillKey('/m/master.mov', 't', requirement)]);
  });

  it('peak-luminance: what is over the limit as its code has it', () => {
    const [still] = chosen([finding('peak-luminance', { limits: { max: 1000 } })]);
    // ST 2084: 1000 cd/m2 is code 723 at 10 bits, which shows 1004.19.
    expect(still?.mark.kind === 'brighter-than' && still.mark.nits).toBeCloseTo(1004.19, 1);
  });

  it('any other: the first frame of its first place, with nothing marked', () => {
    const [still] = chosen([finding('freeze-frames', { at: [at(100, 120), at(130, 131)] })]);
    expect(still).toMatchObject({
      frame: 100,
      mark: { kind: 'nothing', seen: 'the picture that stands still' },
      proof: null,
    });
  });

  it('a finding on a part of the programme: there, not where the file is worst', () => {
    const [still] = chosen([finding('signal-range', { at: [at(90, 95)], everyPlace: true })]);
    expect(still).toMatchObject({ frame: 90, mark: { kind: 'signal-range' }, proof: { kind: 'some' } });
  });
});

describe('what gets no still', () => {
  it.each([
    ['a pass', finding('signal-range', { outcome: 'pass' })],
    ['what was not measured', finding('signal-range', { outcome: 'unmeasured' })],
    ['sound', finding('silence', { at: [at(5, 60)] })],
    ['a finding without a place', finding('freeze-frames')],
    ['a place beyond the end', finding('freeze-frames', { at: [at(250, 260)] })],
  ])('%s', (_, only) => {
    expect(chosen([only])).toEqual([]);
  });

  it.each<[string, Change]>([
    ['a damaged file', (m) => Object.assign(m.decode, { errors: 1 })],
    ['a file that ends early', (m) => Object.assign(m.decode, { truncated: true })],
    ['a light level nobody stated', (m) => Object.assign(m.hdr, { lightLevel: null })],
  ])('%s', (_, change) => {
    expect(chosen([finding('light-level')], change)).toEqual([]);
  });
});

describe('how many', () => {
  it('the same frame with the same marks once, for all findings it shows', () => {
    const places = [at(100, 120)];
    const [still, ...more] = chosen([
      finding('cadence', { at: places }),
      finding('field-order', { at: places }),
    ]);
    expect(more).toEqual([]);
    expect(still?.keys).toHaveLength(2);
  });

  it('at most ten, failures before warnings', () => {
    const warnings = [1, 2, 3, 4, 5, 6, 7, 8, 9].map((n) =>
      finding(`w${n}`, { outcome: 'warn', at: [at(n, n + 1)] }),
    );
    const failures = [11, 12, 13].map((n) => finding(`f${n}`, { at: [at(n, n + 1)] }));
    expect(chosen([...warnings, ...failures]).map(({ frame }) => frame)).toEqual([
      11, 12, 13, 1, 2, 3, 4, 5, 6, 7,
    ]);
  });
});
