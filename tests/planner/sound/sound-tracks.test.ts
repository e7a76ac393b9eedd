import { describe, expect, it } from 'vitest';
import type { AudioFacts } from '../../../jobs/manifest/facts.js';
import type { SoundChoice } from '../../../jobs/manifest/manifest.js';
import type { OutputRecipe } from '../../../jobs/plan/plan.js';
import { nameSoundLosses } from '../../../planner/sound/sound-losses.js';
import { planSound } from '../../../planner/sound/sound-tracks.js';
import { RECIPE } from '../../workers/make/recipes.js';

function track(stream: number, channels: number, layout: string | null): AudioFacts {
  const pcm = { codec: 'pcm_s24le', sampleRate: 48_000, bitDepth: 24, durationSeconds: 4 };
  return { stream, channels, layout, ...pcm };
}
const MONO4 = [1, 2, 3, 4].map((stream) => track(stream, 1, 'mono'));

function planned(tracks: readonly AudioFacts[], choice?: SoundChoice): OutputRecipe['audio'] {
  const found = planSound(tracks, { codec: 'pcm_s24le', channels: 'stereo' }, choice);
  if (!found.ok) throw new Error(found.reason);
  return found.audio;
}

function losses(tracks: readonly AudioFacts[], choice?: SoundChoice): string[] {
  return nameSoundLosses(tracks, { ...RECIPE, audio: planned(tracks, choice) }).map(({ why }) => why);
}

describe('losses of sound', () => {
  it.each<[string, AudioFacts[], SoundChoice | undefined, string[]]>([
    ['none of mono on both sides', MONO4.slice(0, 1), undefined, []],
    ['none of two mono tracks as left and right', MONO4.slice(0, 2), undefined, []],
    ['none of stereo', [track(1, 2, 'stereo')], undefined, []],
    ['none of two channels without a layout', [track(1, 2, null)], undefined, []],
    ['tracks', MONO4, undefined, ['sound tracks 3, 4 are left out']],
    ['tracks the manifest leaves out too', MONO4, [3, 4], ['sound tracks 1, 2 are left out']],
    [
      'a mix, with its gains',
      MONO4.slice(0, 2),
      'mix',
      [
        '2 sound tracks are mixed to stereo: left = 0.500 track 1 + 0.500 track 2, right = 0.500 track 1 + 0.500 track 2 (scaled so that it cannot clip)',
      ],
    ],
    [
      'a fold-down, with its coefficients and what it leaves out',
      [track(1, 6, '5.1(side)')],
      undefined,
      [
        'LFE is left out of sound track 1',
        // 1 / (1 + 2 x 0.7071) = 0.414; x 0.7071 = 0.293.
        '5.1(side) is folded down to stereo: left = 0.414 FL + 0.293 FC + 0.293 SL, right = 0.414 FR + 0.293 FC + 0.293 SR (coefficients of ITU-R BS.775, scaled so that it cannot clip)',
      ],
    ],
    [
      'channels nobody named',
      [track(1, 6, null)],
      undefined,
      [
        'channels 3, 4, 5, 6 are left out of sound track 1 (its layout is not declared, so it cannot be folded down)',
      ],
    ],
  ])('%s', (_, tracks, choice, wanted) => {
    expect(losses(tracks, choice)).toEqual(wanted);
  });

  it('of a clip without sound there are none, and a target without sound names them once', () => {
    expect(nameSoundLosses([], { ...RECIPE, audio: null })).toEqual([]);
    expect(nameSoundLosses(MONO4, { ...RECIPE, audio: null })).toEqual([
      { what: 'sound', why: 'the sound is left out' },
    ]);
  });
});

it('channels in an order that a copy would not declare are refused, and folded down by their names', () => {
  const film = [track(1, 6, 'FL+FC+FR+SL+SR+LFE')];
  expect(planSound(film, { codec: 'flac', channels: 'source' }, undefined)).toMatchObject({
    ok: false,
    reason: expect.stringContaining('FL+FC+FR'),
  });
  const [part] = planned(film)?.stereo ?? [];
  expect(part?.left.map((gain) => gain > 0)).toEqual([true, true, false, true, false, false]);
  expect(part?.right.map((gain) => gain > 0)).toEqual([false, true, true, false, true, false]);
});

describe('tracks the manifest names', () => {
  it.each<[string, AudioFacts[], SoundChoice, RegExp]>([
    ['that are not there', MONO4, [1, 5], /sound track 5, the clip has 4/],
    ['that are not both mono', [track(1, 2, 'stereo'), track(2, 1, 'mono')], [1, 2], /not both mono/],
  ])('are refused: %s', (_, tracks, choice, reason) => {
    const found = planSound(tracks, { codec: 'aac', channels: 'stereo' }, choice);
    expect(found).toMatchObject({ ok: false, reason: expect.stringMatching(reason) });
  });

  it('are no matter where every track is kept', () => {
    const found = planSound(MONO4, { codec: 'pcm_s24le', channels: 'source' }, [9]);
    expect(found).toMatchObject({ ok: true, audio: { streams: [1, 2, 3, 4], stereo: null } });
  });
});
