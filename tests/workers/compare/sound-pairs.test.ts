import { expect, it } from 'vitest';
import type { AudioFacts } from '../../../jobs/manifest/facts.js';
import type { OutputRecipe } from '../../../jobs/plan/plan.js';
import { soundPairs } from '../../../workers/compare/sound/compare-all-sound.js';

type Audio = NonNullable<OutputRecipe['audio']>;

/** Only what the pairs are told by: streams by ffmpeg's index, with so many channels. */
const tracks = (...channels: readonly number[]) =>
  ({
    facts: { audio: channels.map((count, index) => ({ stream: index + 1, channels: count }) as AudioFacts) },
  }) as unknown as Parameters<typeof soundPairs>[0];

const AUDIO: Audio = {
  ...{ codec: 'pcm_s24le', sampleRate: null, bitRate: null, streams: [], stereo: null, chosen: false },
};

it.each([
  [
    'as they come, where the recipe is not known',
    undefined,
    [2, 1],
    [
      [0, 0],
      [1, 1],
    ],
  ],
  [
    'tracks that were kept',
    { ...AUDIO, streams: [2, 3] },
    [1, 1, 1],
    [
      [1, 0],
      [2, 1],
    ],
  ],
  [
    'one stereo track as it is',
    { ...AUDIO, stereo: [{ stream: 2, left: [1, 0], right: [0, 1] }] },
    [1, 2],
    [[1, 0]],
  ],
] as const)('%s', (_, audio, channels, expected) => {
  const pairs = soundPairs(
    tracks(...channels),
    tracks(...channels.slice(0, expected.length)),
    audio as never,
  );
  expect('mixed' in pairs ? pairs : pairs.map(({ original, copy }) => [original, copy])).toEqual(expected);
});

it('two tracks that are left and right are held against a side each', () => {
  const stereo = [
    { stream: 1, left: [1], right: [0] },
    { stream: 2, left: [0], right: [1] },
  ];
  expect(soundPairs(tracks(1, 1), tracks(2), { ...AUDIO, stereo })).toEqual([
    { original: 0, copy: 0, side: 'left' },
    { original: 1, copy: 0, side: 'right' },
  ]);
});

it('a mix is none, and its tracks are named', () => {
  const stereo = [
    { stream: 1, left: [0.5], right: [0.5] },
    { stream: 2, left: [0.5], right: [0.5] },
  ];
  expect(soundPairs(tracks(1, 1), tracks(2), { ...AUDIO, stereo })).toEqual({
    mixed: 'its sound was mixed from track 1, 2 of the original',
  });
});
