import { expect, it } from 'vitest';
import type { SoundComparison } from '../../../../jobs/measurement/measured-comparison.js';
import { both, none } from '../changes.js';
import { type Change, measured, noSound, note } from '../measured.js';
import { describeRows, findingOf } from '../rows.js';

const IN_STEP: SoundComparison = {
  ...{ stream: 0, side: null, of: 0, channels: [2, 2], sampleRate: 48_000, offsetSamples: 0, gainDb: 0 },
  ...{ mistakes: [], places: [] },
};

function heard(...streams: readonly Partial<SoundComparison>[]): Change {
  return (m) => {
    m.soundComparison = streams.map((change, stream) => structuredClone({ ...IN_STEP, stream, ...change }));
  };
}

const LATE = { mistakes: [{ name: 'offset' as const, detail: '5 samples late (0.10 ms)' }] };

describeRows('same-sound', [
  ['in step', {}, heard({}), 'pass'],
  ['a coder a little lower', {}, heard({ gainDb: -0.4 }), 'pass'],
  ['late', {}, heard({}, LATE), 'fail'],
  ['mixed, which is not compared', {}, both(heard(), note('soundComparison')), 'unmeasured'],
  ['one late, one that could not be compared', {}, both(heard(LATE), note('soundComparison')), 'fail'],
  ['not compared', {}, none, 'unmeasured', measured()],
  ['no original', {}, none, 'unmeasured'],
  ['a silent film, both', {}, noSound, 'pass', measured(noSound)],
]);

it('names the stream, and the mistake in words', () => {
  expect(findingOf('same-sound', {}, heard({}, LATE)).measured).toBe(
    'stream 2: offset: 5 samples late (0.10 ms)',
  );
  expect(findingOf('same-sound', {}, heard({}, { gainDb: -0.4 })).measured).toBe(
    '2 streams in step to the sample, level -0.4 dB',
  );
});
