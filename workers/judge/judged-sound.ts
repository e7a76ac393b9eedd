import type { requiredSound } from '../../jobs/requirements/required-sound.js';
import { codedLoudness } from './check-coded-loudness.js';
import { audio, loudness, maxMomentary, maxShortTerm, range, truePeak } from './check-sound.js';
import { dcOffset, identicalChannels, lineUpTone, monoFoldDown } from './check-sound-channels.js';
import { channelPhase, clipping, digitalSilence, silence } from './check-sound-runs.js';
import type { JudgedRequirements } from './ruling.js';

/** Sound: how each requirement is checked, and why anybody asks for it. */
export const judgedSound = {
  audio: { check: audio, why: 'Sound of another form is converted on the way, or refused.' },
  loudness: {
    check: loudness,
    why: 'A programme off the target is turned up or down on air; the local rules of the broadcaster decide.',
  },
  'coded-loudness': {
    check: codedLoudness,
    why: 'Receivers turn the sound up or down by the level it states; the local rules of the broadcaster decide.',
  },
  'true-peak': {
    check: truePeak,
    why: 'Peaks between the samples distort in converters and in lossy coding.',
  },
  'loudness-range': {
    check: range,
    why: 'What is too quiet at home gets lost, and what is too loud wakes the house; the local rules of the broadcaster decide.',
  },
  'max-momentary': {
    check: maxMomentary,
    why: 'Short programmes can meet the target as a whole and still shout; the local rules of the broadcaster decide.',
  },
  'max-short-term': {
    check: maxShortTerm,
    why: 'Short programmes can meet the target as a whole and still shout; the local rules of the broadcaster decide.',
  },
  silence: {
    ...silence,
    why: 'Silence nobody meant is a stem that was not laid, or a fault on the way.',
  },
  'digital-silence': {
    ...digitalSilence,
    why: 'Recorded silence has noise; zeros are a gap in the mix or a dropout.',
  },
  clipping: {
    ...clipping,
    why: 'Flat tops crackle, and no later level takes that away.',
  },
  'channel-phase': {
    ...channelPhase,
    why: 'Channels against each other lose their middle, and dialogue with it, wherever they are added.',
  },
  'mono-fold-down': {
    check: monoFoldDown,
    why: 'Part of the audience hears both channels from one loudspeaker.',
  },
  'identical-channels': {
    check: identicalChannels,
    why: 'Mono laid on two channels is not the stereo that was asked for, or one channel is missing.',
  },
  'dc-offset': {
    check: dcOffset,
    why: 'An offset takes headroom and clicks at every cut.',
  },
  'line-up-tone': {
    check: lineUpTone,
    why: 'Whoever receives the programme sets the level by this tone.',
  },
} satisfies JudgedRequirements<keyof typeof requiredSound>;
