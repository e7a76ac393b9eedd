import { z } from 'zod';
import { field } from '../documents/field.js';
import { PHASE_LEVELS, QUIET_DBFS, SHORTEST_QUIET_SECONDS } from '../measurement/measured-sound.js';
import { count, oneOrMore, placedRequirement, positiveInt, proof, requirement } from './requirement-form.js';

const lufs = z.number().min(-70).max(20);
const overLoud = field('How far beyond a limit is still accepted, LU.', z.number().nonnegative().default(0));
const silenceOf = field(
  'What has to be silent: all channels of a stream together (`programme`), or any single one ' +
    '(`channel`, without the LFE).',
  z.enum(['programme', 'channel']).default('programme'),
);
const quietSeconds = z.number().min(SHORTEST_QUIET_SECONDS);

/** Requirements on the format, loudness and content of the sound. */
export const requiredSound = {
  audio: requirement('There is sound, and each stream has this format.', {
    sampleRate: field('Sample rate, Hz. Default: any.', positiveInt.optional()),
    minChannels: field(
      'Least number of channels in all streams together. With 0 a file without sound passes too. Default: 1.',
      count.optional(),
    ),
    maxChannels: field(
      'Largest number of channels in all streams together. Default: any.',
      positiveInt.optional(),
    ),
    bitDepth: field('Declared bit depth of each stream. Default: any.', positiveInt.optional()),
    effectiveBitDepth: field(
      'Least bits the samples must really use: 16-bit sound in 24 bits has 16. Default: not required.',
      positiveInt.max(32).optional(),
    ),
    codecs: field(
      "Accepted codecs, by ffmpeg's names: `pcm_s24le`, `aac`. Default: any.",
      z.array(z.string()).optional(),
    ),
    channelsPerStream: field(
      'Numbers of channels a stream may have. Default: any.',
      oneOrMore(positiveInt).optional(),
    ),
    layouts: field(
      'Layouts as ffmpeg names them (`mono`, `stereo`, `5.1(side)`), one of which each stream must ' +
        'declare. Default: any.',
      oneOrMore(z.string()).optional(),
    ),
  }),
  loudness: requirement('Programme loudness, integrated and gated (EBU R 128, ITU-R BS.1770).', {
    target: field('Target, LUFS: -23 by EBU R 128.', z.number().min(-70).max(0)),
    tolerance: field('Largest difference from the target, either way, LU.', z.number().nonnegative()),
  }),
  'coded-loudness': requirement(
    'The loudness declared in coded sound (dialnorm of AC-3 and E-AC-3, ATSC A/52) is its measured ' +
      'programme loudness. Sound that declares none is `unmeasured`. ' +
      'Dialogue is not measured separately.',
    {
      tolerance: field('Largest difference of the two, LU.', z.number().nonnegative().default(1)),
    },
  ),
  'true-peak': requirement('No true peak is higher than this (ITU-R BS.1770 Annex 2).', {
    max: field('Highest true peak, dBTP: -1 by EBU R 128.', z.number().max(20)),
    tolerance: field(
      'How far above `max` is still accepted, dB. Default: not at all.',
      z.number().nonnegative().optional(),
    ),
  }),
  'loudness-range': requirement('The loudness range (EBU Tech 3342) is within these limits.', {
    min: field('Least loudness range, LU. Default: none.', z.number().nonnegative().optional()),
    max: field('Largest loudness range, LU.', z.number().positive()),
    tolerance: overLoud,
  }),
  'max-momentary': requirement('No momentary loudness (400 ms, EBU Tech 3341) is higher than this.', {
    max: field('Largest loudness of any 400 ms, LUFS.', lufs),
    tolerance: overLoud,
  }),
  'max-short-term': requirement('No short-term loudness (3 s, EBU Tech 3341) is higher than this.', {
    max: field('Largest loudness of any 3 s, LUFS.', lufs),
    tolerance: overLoud,
  }),
  silence: placedRequirement('No silence, every sample at or below the level, lasts longer than this.', {
    below: field('Level, dBFS of the sample magnitude.', z.literal(QUIET_DBFS).default(-60)),
    maxSeconds: field('Longest silence allowed, in seconds.', quietSeconds.default(2)),
    of: silenceOf,
  }),
  'digital-silence': placedRequirement('No digital silence, every sample zero, lasts longer than this.', {
    maxSeconds: field('Longest run of zeros allowed, in seconds.', quietSeconds.default(1)),
    of: silenceOf,
  }),
  clipping: placedRequirement('No runs of three or more full-scale samples.', {
    maxRuns: field('Most runs, in all channels of a stream together.', count.default(0)),
  }),
  'channel-phase': placedRequirement('Left and right are not out of phase for longer than this.', {
    below: field(
      'Correlation below which they are out of phase, -1 to 1.',
      z.literal(PHASE_LEVELS).default(-0.5),
    ),
    maxSeconds: field(
      'Longest time out of phase allowed, in seconds; at least 0.4, which is one window.',
      z.number().min(0.4).default(2),
    ),
    proof: field(
      'Whether it must be known which channels are left and right. With `false` it also passes where ' +
        'that is not known.',
      proof,
    ),
  }),
  'mono-fold-down': requirement('Left and right do not lose more than this when they are added to mono.', {
    maxLoss: field('Largest loss, dB: unrelated sound loses 3.', z.number().positive()),
  }),
  'identical-channels': requirement('No two channels of a stream have the same sound.', {
    sideBelow: field(
      'Left and right count as the same where their difference lies further below their sum than ' +
        'this, in dB, negative: -60. Default: only where they are identical to the last bit.',
      z.number().negative().optional(),
    ),
  }),
  'dc-offset': requirement('No channel has a DC offset, which is the mean of all its samples.', {
    max: field(
      'Largest mean, either sign, as a fraction of full scale.',
      z.number().positive().max(1).default(0.001),
    ),
  }),
  'line-up-tone': requirement(
    'A 1 kHz tone of a second or more within the first two minutes, in every channel except the LFE.',
    {
      level: field('Level of its amplitude, dBFS.', z.number().max(0).default(-18)),
      tolerance: field('Largest difference from the level, dB.', z.number().nonnegative().default(0.5)),
    },
  ),
};
