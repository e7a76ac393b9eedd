import { describe, expect, it } from 'vitest';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { type RequirementSet, requirementSet } from '../../../jobs/requirements/requirement.js';
import { type Verdict, verdict as verdictSchema } from '../../../jobs/verdict/verdict.js';
import { verdictExitCode } from '../../../workers/judge/exit-code.js';
import { judge } from '../../../workers/judge/judge.js';
import { joinRanges } from '../../../workers/judge/place.js';
import { type Change, measured, noSound, note, noVideo, sound, video } from './measured.js';

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
    [
      'one is unmeasured',
      { scan: { is: ['progressive'] } },
      [video((v) => Object.assign(v, { scan: null }))],
      'warn',
    ],
    [
      'one fails',
      { scan: { is: ['interlaced-tff'] }, chroma: { declared: ['4:4:4'], severity: 'warn' } },
      [],
      'fail',
    ],
  ] as const)('%s: %s', (_, require, changes, word) => {
    expect(verdictOf(require, changes).verdict).toBe(word);
  });

  it('does not touch what it is given', () => {
    const given = measured(truncated);
    const before = structuredClone(given);
    judge(given, { name: 't', require: {} }, { original: given });
    expect(given).toEqual(before);
  });
});

describe('as-original', () => {
  const ruling = (limits: object, changes: readonly Change[], original: Measurement) =>
    verdictOf({ 'as-original': limits }, changes, original).findings.find(
      (f) => f.requirement === 'as-original',
    );

  it.each([
    ['the same', {}, [], measured(), 'pass'],
    ['one frame fewer', {}, [video((v) => Object.assign(v, { frames: 249 }))], measured(), 'fail'],
    ['one frame more', {}, [video((v) => Object.assign(v, { frames: 251 }))], measured(), 'fail'],
    [
      'one frame fewer where frames do not matter',
      { frames: false },
      [video((v) => Object.assign(v, { frames: 249 }))],
      measured(),
      'pass',
    ],
    [
      'another start',
      {},
      [(m) => Object.assign(m.container, { startTimecode: '10:00:00:01' })],
      measured(),
      'fail',
    ],
    [
      'no start any more',
      {},
      [(m) => Object.assign(m.container, { startTimecode: null })],
      measured(),
      'fail',
    ],
    [
      'neither has a timecode',
      {},
      [(m) => Object.assign(m.container, { startTimecode: null })],
      measured((m) => Object.assign(m.container, { startTimecode: null })),
      'pass',
    ],
    ['no sound any more', {}, [noSound], measured(), 'fail'],
    ['neither has sound', {}, [noSound], measured(noSound), 'pass'],
    ['sound a frame longer', {}, [sound({ durationSeconds: 10.04 })], measured(), 'pass'],
    [
      'sound padded by its coding, at 50 frames/s',
      {},
      [video((v) => Object.assign(v, { frameRate: '50/1' })), sound({ durationSeconds: 10.043 })],
      measured(),
      'pass',
    ],
    ['sound more than that longer', {}, [sound({ durationSeconds: 10.051 })], measured(), 'fail'],
    ['sound cut short', {}, [sound({ durationSeconds: 9.9 })], measured(), 'fail'],
    ['the second stream cut short', {}, [sound({}, { durationSeconds: 9 })], measured(sound({}, {})), 'fail'],
    ['the first stream alone', {}, [], measured(sound({}, {})), 'pass'],
    ['the first stream alone, where all are wanted', { sound: 'all' }, [], measured(sound({}, {})), 'fail'],
    ['all streams', { sound: 'all' }, [sound({}, {})], measured(sound({}, {})), 'pass'],
    ['a channel fewer', { sound: 'all' }, [sound({ channels: 1 })], measured(), 'fail'],
    ['a stream the original does not have', {}, [sound({}, {})], measured(), 'fail'],
    ['no sound wanted', { sound: false }, [noSound], measured(), 'pass'],
    ['sound alone, both', { bitDepth: true }, [noVideo], measured(noVideo), 'pass'],
    ['the copy lost its picture', {}, [noVideo], measured(), 'fail'],
    [
      'the copy lost its picture and its bits',
      { frames: false, bitDepth: true },
      [noVideo],
      measured(),
      'fail',
    ],
    ['the copy has a picture of its own', { frames: false, bitDepth: true }, [], measured(noVideo), 'fail'],
    ['sound not measured', {}, [note('audio[0]')], measured(), 'unmeasured'],
    ['sound of the original not measured', {}, [], measured(note('audio[0]')), 'unmeasured'],
    [
      'bits lost',
      { bitDepth: true },
      [video((v) => Object.assign(v.bitDepth, { effective: 8 }))],
      measured(),
      'fail',
    ],
    [
      'bits kept',
      { bitDepth: true },
      [],
      measured(video((v) => Object.assign(v.bitDepth, { declared: 12 }))),
      'pass',
    ],
    [
      'use of bits unknown in the copy',
      { bitDepth: true },
      [video((v) => Object.assign(v.bitDepth, { effective: null }))],
      measured(),
      'unmeasured',
    ],
    [
      'unknown in both, declared kept',
      { bitDepth: true },
      [video((v) => Object.assign(v.bitDepth, { effective: null }))],
      measured(video((v) => Object.assign(v.bitDepth, { effective: null }))),
      'pass',
    ],
    [
      'unknown in both, declared fewer',
      { bitDepth: true },
      [],
      measured(video((v) => Object.assign(v.bitDepth, { declared: 12, effective: null }))),
      'fail',
    ],
    [
      'use of bits not sure in the copy',
      { bitDepth: true },
      [video((v) => Object.assign(v.bitDepth, { confidence: 'low' }))],
      measured(),
      'unmeasured',
    ],
    [
      'use of bits doubted in the copy',
      { bitDepth: true },
      [note('video.bitDepth')],
      measured(),
      'unmeasured',
    ],
    ['original truncated', {}, [], measured(truncated), 'fail'],
    ['original damaged', {}, [], measured((m) => Object.assign(m.decode, { errors: 2 })), 'fail'],
  ] as readonly [string, object, readonly Change[], Measurement, string][])(
    '%s',
    (_, limits, changes, original, outcome) => {
      expect(ruling(limits, changes, original)).toMatchObject({ outcome });
    },
  );

  it('takes headers of an original too, and says what they do not tell', () => {
    const facts = {
      bytes: 1,
      modified: '',
      container: { format: 'mov', durationSeconds: null, startTimecode: '10:00:00:00', reel: null },
      video: null,
      audio: [],
      otherStreams: [],
      notes: [],
    };
    const require = requirementSet.parse({ 'as-original': {} });
    const [, finding] = judge(measured(), { name: 't', require }, { original: facts }).findings;
    expect(finding).toMatchObject({ requirement: 'as-original', outcome: 'unmeasured' });
  });

  it('a copy of a damaged original fails although the target did not ask, or only to warn', () => {
    for (const require of [{}, { 'as-original': { severity: 'warn' } }]) {
      expect(verdictOf(require, [], measured(truncated)).verdict).toBe('fail');
    }
  });
});

describe('verdictExitCode', () => {
  const pass = verdictOf({}, []);
  const warn = verdictOf({ scan: { is: ['interlaced-tff'], severity: 'warn' } }, []);
  const open = verdictOf({ scan: { is: ['progressive'] } }, [video((v) => Object.assign(v, { scan: null }))]);
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
