import { MOST_RUNS, type SoundContent } from '../../../jobs/measurement/measured-sound.js';
import type { RequirementName } from '../../../jobs/requirements/requirement.js';
import type { Finding } from '../../../jobs/verdict/verdict.js';
import { type Change, noSound, note, sound } from './measured.js';
import { bothChannels, CONTENT, outOfPhase, PAIR, quietAt, rightChannel } from './measured-sound.js';

type Row = readonly [what: string, limits: object, change: Change, outcome: Finding['outcome']];
const none: Change = () => {};
const content = (of: SoundContent | null): Change => sound({ content: of });
const quiet = (...args: Parameters<typeof quietAt>): SoundContent => ({
  ...CONTENT,
  quiet: quietAt(...args),
});
const monos: Change = (m) => {
  const mono = { channels: 1, layout: 'mono', content: { ...CONTENT, channels: [], pairs: [] } };
  sound(mono, mono)(m);
};
const tone = (levelDbfs: number) => ({ from: 0, to: 96_000, levelDbfs });
const clips = (runs: number) => ({
  clipping: { runs, samples: 3 * runs, longest: 3, places: [{ from: 48_000, to: 48_003, runs }] },
});
/** Every run that is kept is over the limit, and there are more. */
const manyRuns = (): SoundContent => {
  const runs = Array.from({ length: MOST_RUNS }, (_, i): [number, number] => [i * 5, i * 5 + 3]);
  const levels = quietAt(-60, ...runs);
  return { ...CONTENT, quiet: levels.map((level) => ({ ...level, count: level.count * 2 })) };
};
const unlabelled: Change = sound({ channels: 8, layout: null, content: { ...CONTENT, pairs: null } });

/** What is asked of the form of the sound, beyond what its headers say. */
export const AUDIO_FORM_CASES: readonly Row[] = [
  ['all bits used', { effectiveBitDepth: 24 }, none, 'pass'],
  ['16 bits in 24', { effectiveBitDepth: 24 }, content(bothChannels({ usedBits: 16 })), 'fail'],
  ['one channel of 16 bits', { effectiveBitDepth: 24 }, content(rightChannel({ usedBits: 16 })), 'fail'],
  ['more bits than asked for', { effectiveBitDepth: 16 }, none, 'pass'],
  ['a silent channel beside', { effectiveBitDepth: 24 }, content(rightChannel({ usedBits: null })), 'pass'],
  ['bits of silence', { effectiveBitDepth: 24 }, content(bothChannels({ usedBits: null })), 'unmeasured'],
  ['bits of nothing', { effectiveBitDepth: 24 }, content(null), 'unmeasured'],
  ['bits of lossy coding', { effectiveBitDepth: 16 }, sound({ codec: 'aac', bitDepth: null }), 'fail'],
  ['two to a stream', { channelsPerStream: [2] }, none, 'pass'],
  ['one to a stream', { channelsPerStream: [1] }, none, 'fail'],
  ['the layout', { layouts: ['mono', 'stereo'] }, none, 'pass'],
  ['another layout', { layouts: ['5.1(side)'] }, none, 'fail'],
  ['no layout stated', { layouts: ['stereo'] }, sound({ layout: null }), 'fail'],
];

type Asked =
  | 'loudness-range'
  | 'max-momentary'
  | 'max-short-term'
  | 'silence'
  | 'digital-silence'
  | 'clipping'
  | 'channel-phase'
  | 'mono-fold-down'
  | 'identical-channels'
  | 'dc-offset'
  | 'line-up-tone';

/** Just inside, just outside, and missing. */
export const SOUND_CASES: Readonly<Record<Asked & RequirementName, readonly Row[]>> = {
  'loudness-range': [
    ['at the limit', { max: 15 }, sound({ loudnessRange: 15, durationSeconds: 60 }), 'pass'],
    ['just over', { max: 15 }, sound({ loudnessRange: 15.01, durationSeconds: 60 }), 'fail'],
    ['just under', { min: 4, max: 15 }, sound({ loudnessRange: 3.99, durationSeconds: 60 }), 'fail'],
    ['inside, but of a short programme', { max: 15 }, sound({ durationSeconds: 59 }), 'warn'],
    ['over, of a short programme', { max: 4 }, none, 'fail'],
    ['nothing above the gate', { max: 15 }, sound({ loudnessRange: null }), 'unmeasured'],
    ['part of a programme', { max: 15 }, monos, 'unmeasured'],
    ['doubted', { max: 15 }, note('audio[0]'), 'unmeasured'],
    ['no sound', { max: 15 }, noSound, 'fail'],
  ],
  'max-momentary': [
    ['at the limit', { max: -15 }, sound({ maxMomentaryLufs: -15 }), 'pass'],
    ['just over', { max: -15 }, sound({ maxMomentaryLufs: -14.99 }), 'fail'],
    ['inside the tolerance', { max: -15, tolerance: 0.1 }, sound({ maxMomentaryLufs: -14.9 }), 'pass'],
    ['outside it', { max: -15, tolerance: 0.1 }, sound({ maxMomentaryLufs: -14.89 }), 'fail'],
    ['silence', { max: -15 }, sound({ maxMomentaryLufs: null }), 'pass'],
    ['no window', { max: -15 }, sound({ maxMomentaryLufs: null, durationSeconds: 0.3 }), 'unmeasured'],
    ['layout not stated', { max: -15 }, unlabelled, 'unmeasured'],
    ['no sound', { max: -15 }, noSound, 'fail'],
  ],
  'max-short-term': [
    ['at the limit', { max: -18 }, sound({ maxShortTermLufs: -18 }), 'pass'],
    ['just over', { max: -18 }, sound({ maxShortTermLufs: -17.99 }), 'fail'],
    ['no window', { max: -18 }, sound({ maxShortTermLufs: null, durationSeconds: 2.9 }), 'unmeasured'],
    ['the second stream counts too', { max: -18 }, sound({}, { maxShortTermLufs: -10 }), 'fail'],
    ['no sound', { max: -18 }, noSound, 'fail'],
  ],
  silence: [
    ['none', {}, none, 'pass'],
    ['as long as allowed', {}, content(quiet(-60, [1, 3])), 'pass'],
    ['a millisecond longer', {}, content(quiet(-60, [1, 3.001])), 'fail'],
    ['another level does not count', { below: -40 }, content(quiet(-60, [1, 9])), 'pass'],
    ['more runs than were kept', {}, content(manyRuns()), 'fail'],
    ['one channel alone', {}, content(rightChannel({ quiet: quietAt(-60, [1, 9]) })), 'pass'],
    [
      'one channel alone, where each counts',
      { of: 'channel' },
      content(rightChannel({ quiet: quietAt(-60, [1, 9]) })),
      'fail',
    ],
    [
      'low-frequency effects',
      { of: 'channel' },
      content(rightChannel({ speaker: 'LFE', quiet: quietAt(-60, [1, 9]) })),
      'pass',
    ],
    ['samples not known', {}, content(null), 'unmeasured'],
    ['not one sample', {}, sound({ samples: 0 }), 'unmeasured'],
    ['no sound', {}, noSound, 'fail'],
    ['outside the region', { regions: [{ from: 100, to: 200 }] }, content(quiet(-60, [0, 4.1])), 'pass'],
    [
      'too much of it inside the region',
      { regions: [{ from: 100, to: 200 }] },
      content(quiet(-60, [0, 6.1])),
      'fail',
    ],
    [
      'more than are known inside the region',
      { regions: [{ from: 200, to: 250 }] },
      content({ ...CONTENT, quiet: manyRuns().quiet.map((l) => ({ ...l, longest: l.longest.slice(3) })) }),
      'unmeasured',
    ],
  ],
  'digital-silence': [
    ['quiet, but not zero', {}, content(quiet(-80, [1, 9])), 'pass'],
    ['as long as allowed', {}, content(quiet(null, [1, 2])), 'pass'],
    ['longer', {}, content(quiet(null, [1, 2.001])), 'fail'],
    ['samples not known', {}, content(null), 'unmeasured'],
    ['inside the region', { regions: [{ from: 0, to: 50 }] }, content(quiet(null, [0, 2])), 'fail'],
  ],
  clipping: [
    ['none', {}, none, 'pass'],
    ['one run', {}, content(rightChannel(clips(1))), 'fail'],
    ['as many as allowed', { maxRuns: 2 }, content(bothChannels(clips(1))), 'pass'],
    ['one more', { maxRuns: 1 }, content(bothChannels(clips(1))), 'fail'],
    ['samples not known', {}, content(null), 'unmeasured'],
    ['inside the region', { regions: [{ from: 0, to: 50 }] }, content(rightChannel(clips(1))), 'fail'],
    ['outside the region', { regions: [{ from: 50, to: 99 }] }, content(rightChannel(clips(1))), 'pass'],
    [
      'over the edge of the region',
      { regions: [{ from: 0, to: 26 }] },
      content(
        rightChannel({
          clipping: { runs: 9, samples: 30, longest: 4, places: [{ from: 48_000, to: 96_000, runs: 9 }] },
        }),
      ),
      'unmeasured',
    ],
    [
      'places that were not kept, and the region',
      { regions: [{ from: 100, to: 200 }] },
      content(rightChannel({ clipping: { ...clips(1).clipping, runs: 500 } })),
      'unmeasured',
    ],
  ],
  'channel-phase': [
    ['in phase', {}, none, 'pass'],
    ['as long as allowed', {}, content(outOfPhase(-0.5, [1, 3])), 'pass'],
    ['longer', {}, content(outOfPhase(-0.5, [1, 3.1])), 'fail'],
    ['another level does not count', {}, content(outOfPhase(0, [1, 9])), 'pass'],
    ['mono', {}, sound({ channels: 1, layout: 'mono', content: { ...CONTENT, pairs: [] } }), 'pass'],
    ['several mono streams', {}, monos, 'unmeasured'],
    ['layout not stated', {}, unlabelled, 'unmeasured'],
    ['several mono streams, no proof asked', { proof: false }, monos, 'pass'],
    ['layout not stated, no proof asked', { proof: false }, unlabelled, 'pass'],
    ['longer, no proof asked', { proof: false }, content(outOfPhase(-0.5, [1, 3.1])), 'fail'],
    ['samples not known, no proof asked', { proof: false }, content(null), 'unmeasured'],
    ['samples not known', {}, content(null), 'unmeasured'],
    ['outside the region', { regions: [{ from: 100, to: 200 }] }, content(outOfPhase(-0.5, [0, 4])), 'pass'],
  ],
  'mono-fold-down': [
    [
      'unrelated',
      { maxLoss: 3.02 },
      content({ ...CONTENT, pairs: [{ ...PAIR, foldDownLossDb: 3.01 }] }),
      'pass',
    ],
    ['over', { maxLoss: 3 }, content({ ...CONTENT, pairs: [{ ...PAIR, foldDownLossDb: 3.01 }] }), 'fail'],
    ['silence', { maxLoss: 3 }, content({ ...CONTENT, pairs: [{ ...PAIR, foldDownLossDb: null }] }), 'pass'],
    ['several mono streams', { maxLoss: 3 }, monos, 'unmeasured'],
    ['layout not stated', { maxLoss: 3 }, unlabelled, 'unmeasured'],
    ['samples not known', { maxLoss: 3 }, content(null), 'unmeasured'],
  ],
  'identical-channels': [
    ['different', {}, none, 'pass'],
    ['the same', {}, content({ ...CONTENT, identical: [{ first: 0, second: 1 }] }), 'fail'],
    [
      'nearly the same, which is not asked',
      {},
      content({ ...CONTENT, pairs: [{ ...PAIR, sideToMidDb: -80 }] }),
      'pass',
    ],
    [
      'nearly the same',
      { sideBelow: -60 },
      content({ ...CONTENT, pairs: [{ ...PAIR, sideToMidDb: -60.1 }] }),
      'fail',
    ],
    [
      'not so nearly',
      { sideBelow: -60 },
      content({ ...CONTENT, pairs: [{ ...PAIR, sideToMidDb: -60 }] }),
      'pass',
    ],
    ['nearly, and layout not stated', { sideBelow: -60 }, unlabelled, 'unmeasured'],
    ['several mono streams', {}, monos, 'unmeasured'],
    ['samples not known', {}, content(null), 'unmeasured'],
  ],
  'dc-offset': [
    ['small', {}, none, 'pass'],
    ['at the limit', {}, content(rightChannel({ dcOffset: -0.001 })), 'pass'],
    ['over, below zero', {}, content(rightChannel({ dcOffset: -0.00101 })), 'fail'],
    ['samples not known', {}, content(null), 'unmeasured'],
  ],
  'line-up-tone': [
    ['none', {}, none, 'fail'],
    ['EBU R 68 line-up, -18 dBFS (from memory)', {}, content(bothChannels({ tone: tone(-18) })), 'pass'],
    ['half a decibel off', {}, content(bothChannels({ tone: tone(-17.5) })), 'pass'],
    ['more', {}, content(bothChannels({ tone: tone(-17.49) })), 'fail'],
    [
      'SMPTE RP 155 line-up, -20 dBFS (from memory)',
      { level: -20 },
      content(bothChannels({ tone: tone(-20) })),
      'pass',
    ],
    ['in one channel only', {}, content(rightChannel({ tone: tone(-18) })), 'fail'],
    ['samples not known', {}, content(null), 'unmeasured'],
  ],
};
