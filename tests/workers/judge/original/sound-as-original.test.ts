import { describe, expect, it } from 'vitest';
import type { AudioMeasurement } from '../../../../jobs/measurement/measurement.js';
import type { OutputRecipe } from '../../../../jobs/plan/plan.js';
import { requirementSet } from '../../../../jobs/requirements/requirement.js';
import { judge } from '../../../../workers/judge/judge.js';
import { type Change, measured, SOUND, sound } from '../measured.js';

type Sound = NonNullable<OutputRecipe['audio']>;

const [CHANNEL] = SOUND.content?.channels ?? [];
/** A stream whose channels have these levels, dBFS RMS; null: silence. */
function levels(...rms: (number | null)[]): Partial<AudioMeasurement> {
  if (SOUND.content === null || CHANNEL === undefined) throw new Error('the faultless file has sound');
  const channels = rms.map((rmsDbfs) => ({ ...CHANNEL, rmsDbfs }));
  const layout = rms.length === 1 ? 'mono' : rms.length === 2 ? 'stereo' : null;
  return { channels: rms.length, layout, content: { ...SOUND.content, channels, identical: [] } };
}

const LEFT = { stream: 1, left: [1], right: [0] };
const RIGHT = { stream: 2, left: [0], right: [1] };

function made(stereo: Sound['stereo'], chosen = false): Sound {
  return { codec: 'pcm_s24le', sampleRate: null, bitRate: null, streams: [], stereo, chosen };
}

function outcome(copy: Change, original: Change, by: Sound): { outcome: string; measured: string } {
  const require = requirementSet.parse({ 'as-original': {} });
  const context = { original: measured(original), sound: by };
  const { findings } = judge(measured(copy), { name: 't', require }, context);
  const finding = findings.find(({ requirement }) => requirement === 'as-original');
  if (finding === undefined) throw new Error('not answered');
  return finding;
}

describe('sound made of the tracks of the original', () => {
  it.each<[string, Change, Change, Sound, string, string]>([
    [
      'two tracks as left and right',
      sound(levels(-20, -30)),
      sound(levels(-20), levels(-30)),
      made([LEFT, RIGHT]),
      'pass',
      '',
    ],
    [
      'the second is not there',
      sound(levels(-20, null)),
      sound(levels(-20), levels(-30)),
      made([LEFT, RIGHT]),
      'fail',
      'right at silence',
    ],
    [
      'the first on both sides instead',
      sound(levels(-20, -20)),
      sound(levels(-20), levels(-30)),
      made([LEFT, RIGHT]),
      'fail',
      'right at -20.00 dBFS RMS',
    ],
    [
      'the second is silent in the original',
      sound(levels(-20, null)),
      sound(levels(-20), levels(null)),
      made([LEFT, RIGHT]),
      'pass',
      '',
    ],
    [
      'a third track that is left out',
      sound(levels(-20, -30)),
      sound(levels(-20), levels(-30), levels(-25)),
      made([LEFT, RIGHT]),
      'pass',
      'without track 3, as planned',
    ],
    [
      'a third track that is left out, and silence taken',
      sound(levels(null, null)),
      sound(levels(null), levels(null), levels(-25)),
      made([LEFT, RIGHT]),
      'warn',
      'track 3',
    ],
    [
      'one that is silent',
      sound(levels(-20, -30)),
      sound(levels(-20), levels(-30), levels(null)),
      made([LEFT, RIGHT]),
      'pass',
      '',
    ],
    [
      'one left out by the manifest',
      sound(levels(-20, -30)),
      sound(levels(-20), levels(-30), levels(-25)),
      made([LEFT, RIGHT], true),
      'pass',
      '',
    ],
    [
      'channels without names',
      sound(levels(-20, -30)),
      sound(levels(-20, -30, -25)),
      made([{ stream: 1, left: [1, 0, 0], right: [0, 1, 0] }]),
      'warn',
      'channel 3 of track 1',
    ],
    [
      'half of each: a level of -20 is more than -26 and -36 can give',
      sound(levels(-20, -20)),
      sound({ ...levels(-20), durationSeconds: 8 }, levels(-30)),
      made([LEFT, RIGHT].map((part) => ({ ...part, left: [0.5], right: [0.5] }))),
      'fail',
      'channels at up to',
    ],
    [
      'half of each, as long as the longest',
      sound(levels(-25, -25)),
      sound({ ...levels(-20), durationSeconds: 8 }, levels(-30)),
      made([LEFT, RIGHT].map((part) => ({ ...part, left: [0.5], right: [0.5] }))),
      'pass',
      '',
    ],
  ])('%s', (_, copy, original, by, word, words) => {
    const found = outcome(copy, original, by);
    expect(found.outcome, found.measured).toBe(word);
    expect(found.measured).toContain(words);
  });
});
