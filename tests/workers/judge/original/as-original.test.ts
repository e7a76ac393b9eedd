import { expect, it } from 'vitest';
import type { VideoFacts } from '../../../../jobs/manifest/facts.js';
import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import { both, none, startAt } from '../changes.js';
import { type Change, measured, noSound, note, noVideo, sound, video } from '../measured.js';
import { describeRows, findingOf, type Row } from '../rows.js';

const truncated: Change = (m) => Object.assign(m.decode, { truncated: true });

const usedBits = (effective: number | null, declared = 16): Change =>
  video((v) => Object.assign(v.bitDepth, { declared, effective }));

/** Changes to the copy, and its original. */
const PAIRS: readonly [string, object, readonly Change[], Measurement, Row[3]][] = [
  ['the same', {}, [], measured(), 'pass'],
  ['one frame fewer', {}, [video({ frames: 249 })], measured(), 'fail'],
  ['one frame more', {}, [video({ frames: 251 })], measured(), 'fail'],
  [
    'one frame fewer where frames do not matter',
    { frames: false },
    [video({ frames: 249 })],
    measured(),
    'pass',
  ],
  ['another start', {}, [startAt('10:00:00:01')], measured(), 'fail'],
  ['no start any more', {}, [startAt(null)], measured(), 'fail'],
  ['neither has a timecode', {}, [startAt(null)], measured(startAt(null)), 'pass'],
  ['no sound any more', {}, [noSound], measured(), 'fail'],
  ['neither has sound', {}, [noSound], measured(noSound), 'pass'],
  ['sound a frame longer', {}, [sound({ durationSeconds: 10.04 })], measured(), 'pass'],
  [
    'sound padded by its coding, at 50 frames/s',
    {},
    [video({ frameRate: '50/1' }), sound({ durationSeconds: 10.043 })],
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
  ['the same raster', { raster: true }, [], measured(), 'pass'],
  [
    'another sample aspect',
    { raster: true },
    [video({ sampleAspect: '1/1' })],
    measured(video({ sampleAspect: '320/321' })),
    'fail',
  ],
  [
    'an aspect in whole pixels as Matroska gives it back',
    { raster: true },
    [video({ sampleAspect: '41/45' })],
    measured(video({ sampleAspect: '4320/4739' })),
    'pass',
  ],
  ['a column more', { raster: true }, [video({ width: 1922 })], measured(), 'fail'],
  ['a line fewer', { raster: true }, [video({ height: 1078 })], measured(), 'fail'],
  ['a column more where the raster may change', {}, [video({ width: 1922 })], measured(), 'pass'],
  [
    'upright, of an original that was to be turned',
    { raster: true },
    [video({ width: 1080, height: 1920 })],
    measured(video({ width: 1920, height: 1080, rotation: 90 })),
    'pass',
  ],
  [
    'on its side, of an original that was to be turned',
    { raster: true },
    [video({ width: 1920, height: 1080 })],
    measured(video({ width: 1920, height: 1080, rotation: 90 })),
    'fail',
  ],
  [
    'the copy lost its picture and its raster',
    { frames: false, raster: true },
    [noVideo],
    measured(),
    'fail',
  ],
  ['sound alone, both, raster asked for', { raster: true }, [noVideo], measured(noVideo), 'pass'],
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
  // Of a target whose codec holds 12 bits: what it holds is kept, and no bit less.
  ['bits of the depth wanted', { bitDepth: 12 }, [usedBits(12)], measured(usedBits(16)), 'pass'],
  ['a bit fewer than wanted', { bitDepth: 12 }, [usedBits(11)], measured(usedBits(16)), 'fail'],
  ['all of fewer than wanted', { bitDepth: 12 }, [usedBits(10)], measured(usedBits(10)), 'pass'],
  ['fewer of fewer than wanted', { bitDepth: 12 }, [usedBits(9)], measured(usedBits(10)), 'fail'],
  [
    'bits of the depth wanted, declared alone',
    { bitDepth: 12 },
    [usedBits(null, 12)],
    measured(usedBits(null, 16)),
    'pass',
  ],
  [
    'a bit fewer than wanted, declared alone',
    { bitDepth: 12 },
    [usedBits(null, 11)],
    measured(usedBits(null, 16)),
    'fail',
  ],
  [
    'use of bits not sure in the copy',
    { bitDepth: true },
    [video((v) => Object.assign(v.bitDepth, { confidence: 'low' }))],
    measured(),
    'unmeasured',
  ],
  ['use of bits doubted in the copy', { bitDepth: true }, [note('video.bitDepth')], measured(), 'unmeasured'],
  ['original truncated', {}, [], measured(truncated), 'fail'],
  ['original damaged', {}, [], measured((m) => Object.assign(m.decode, { errors: 2 })), 'fail'],
];

describeRows('as-original', [
  ['no original to hold it against', {}, none, 'unmeasured'],
  ...PAIRS.map(
    ([what, limits, changes, original, outcome]): Row => [what, limits, both(...changes), outcome, original],
  ),
]);

it('takes headers of an original too, and says what they do not tell', () => {
  const facts = {
    bytes: 1,
    modified: '',
    container: {
      format: 'mov',
      durationSeconds: null,
      startTimecode: '10:00:00:00',
      reel: null,
      chapters: 0,
      tags: {},
    },
    video: null,
    audio: [],
    otherStreams: [],
    notes: [],
  };
  expect(findingOf('as-original', {}, none, facts)).toMatchObject({
    ...{ outcome: 'fail', measured: expect.stringContaining('a picture, the original has none') },
  });
  // Of the facts of a picture the rule reads these.
  const video = { frames: null, constantRate: true, frameRate: '25/1' } as VideoFacts;
  expect(findingOf('as-original', {}, none, { ...facts, video })).toMatchObject({ outcome: 'unmeasured' });
});
