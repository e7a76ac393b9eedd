import { describe, expect, it } from 'vitest';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { type RequirementSet, requirementSet } from '../../../jobs/requirements/requirement.js';
import { type Verdict, verdict as verdictSchema } from '../../../jobs/verdict/verdict.js';
import { verdictExitCode } from '../../../workers/judge/exit-code.js';
import { judge } from '../../../workers/judge/judge.js';
import { joinRanges } from '../../../workers/judge/place.js';
import { type Change, measured, video } from './measured.js';

const truncated: Change = (m) => Object.assign(m.decode, { truncated: true });

function verdictOf(require: object, changes: readonly Change[], original?: Measurement): Verdict {
  const set: RequirementSet = requirementSet.parse(require);
  return judge(measured(...changes), { name: 't', require: set }, { original });
}

describe('judge', () => {
  it('gives a verdict that fits its schema', () => {
    const verdict = verdictOf({ raster: { width: 1920, height: 1080 } }, []);
    expect(verdictSchema.parse(verdict)).toEqual(verdict);
    expect(verdict).toMatchObject({ file: '/m/master.mov', target: 't', verdict: 'pass' });
  });

  it.each([
    ['truncated', truncated],
    ['damaged', ((m) => Object.assign(m.decode, { errors: 1 })) as Change],
    ['empty', ((m) => Object.assign(m, { video: null, audio: [] })) as Change],
  ])('a %s file fails decode although the target did not ask', (_, change) => {
    const verdict = verdictOf({}, [change]);
    expect(verdict.verdict).toBe('fail');
    expect(verdict.findings).toMatchObject([{ requirement: 'decode', outcome: 'fail' }]);
  });

  it.each([
    ['all pass', {}, [], 'pass'],
    ['one warns', { scan: { is: ['interlaced-tff'], severity: 'warn' } }, [], 'warn'],
    ['one is unmeasured', { scan: { is: ['progressive'] } }, [video({ scan: null })], 'warn'],
    [
      'one fails',
      { scan: { is: ['interlaced-tff'] }, chroma: { declared: ['4:4:4'], severity: 'warn' } },
      [],
      'fail',
    ],
  ] as const)('%s: %s', (_, require, changes, word) => {
    expect(verdictOf(require, changes).verdict).toBe(word);
  });

  it('a copy of a damaged original fails although the target did not ask, or only to warn', () => {
    for (const require of [{}, { 'as-original': { severity: 'warn' } }]) {
      expect(verdictOf(require, [], measured(truncated)).verdict).toBe('fail');
    }
  });

  it('says of what it requires by itself that it does, and asks no more of the copy', () => {
    const { findings } = verdictOf({}, [], measured(truncated));
    const byName = (name: string) => findings.find(({ requirement }) => requirement === name);
    expect(byName('decode')?.source).toBe('implied: a damaged file is never fit to use');
    expect(byName('as-original')).toMatchObject({
      source: 'implied: a copy of a damaged original is never fit to use',
      limits: { frames: false, timecode: false, sound: false },
    });
  });

  it('a damaged original makes no failure of what else the target only warns of', () => {
    const warned = { scan: { is: ['interlaced-tff'], severity: 'warn' } };
    const { findings } = verdictOf(warned, [], measured(truncated));
    expect(findings.find(({ requirement }) => requirement === 'scan')?.outcome).toBe('warn');
  });

  it('does not touch what it is given', () => {
    const given = measured(truncated);
    const before = structuredClone(given);
    judge(given, { name: 't', require: {} }, { original: given });
    expect(given).toEqual(before);
  });
});

describe('verdictExitCode', () => {
  const pass = verdictOf({}, []);
  const warn = verdictOf({ scan: { is: ['interlaced-tff'], severity: 'warn' } }, []);
  const open = verdictOf({ scan: { is: ['progressive'] } }, [video({ scan: null })]);
  const fail = verdictOf({ scan: { is: ['interlaced-tff'] } }, []);
  it.each([
    ['all pass', [pass], 0, 0],
    ['a warning', [pass, warn], 0, 1],
    ['something unmeasured', [pass, open], 3, 1],
    ['a warning and something unmeasured', [warn, open], 3, 1],
    ['a failure beside something unmeasured', [open, fail], 1, 1],
    ['nothing judged', [], 3, 3],
  ] as readonly [string, Verdict[], number, number][])('%s', (_, verdicts, plain, strict) => {
    expect(verdictExitCode(verdicts, { strict: false })).toBe(plain);
    expect(verdictExitCode(verdicts, { strict: true })).toBe(strict);
  });
});

describe('joinRanges', () => {
  it('makes one range of 4,000 frames in a row', () => {
    const single = Array.from({ length: 4_000 }, (_, i) => ({
      from: i,
      to: i + 1,
      fromTimecode: null,
      toTimecode: null,
    }));
    expect(joinRanges([...single].reverse())).toEqual([
      { from: 0, to: 4_000, fromTimecode: null, toTimecode: null },
    ]);
  });
  it('keeps a gap, and a range inside another', () => {
    const range = (from: number, to: number) => ({ from, to, fromTimecode: `${from}`, toTimecode: `${to}` });
    expect(joinRanges([range(0, 10), range(2, 5), range(11, 12)])).toEqual([range(0, 10), range(11, 12)]);
  });
});
