import type { AudioMeasurement, Measurement } from '../../jobs/measurement.js';
import { channelWeights } from '../measure/sound/channel-weights.js';
import { doubtAbout } from './doubt.js';
import { count, lufs, oneOf } from './figures.js';
import { type Check, hold, met, missed, type Ruling, unmeasured, worstOf } from './ruling.js';

/** Coding that has no sample depth of its own. */
const LOSSY_CODECS: ReadonlySet<string> = new Set(['aac', 'ac3', 'eac3', 'mp2', 'mp3', 'opus', 'vorbis']);
/** Below this many seconds BS.1770 has no block to measure. */
const ONE_GATING_BLOCK_SECONDS = 0.4;
/** Rounding of doubles in the decibel scale; far below anything a meter shows. */
const ROUNDING_DB = 1e-9;

/** Rules on every sound stream by itself; a file without sound misses whatever is asked of it. */
function onEachStream(
  measurement: Measurement,
  expected: string,
  check: (stream: AudioMeasurement, index: number) => Ruling,
): Ruling {
  const [first, ...others] = measurement.audio.map((stream, index): Ruling => {
    const ruling = check(stream, index);
    return { ...ruling, measured: `stream ${stream.stream}: ${ruling.measured}` };
  });
  return first === undefined
    ? missed(
        expected,
        'the file has no sound',
        'Deliver the sound with the picture, or drop this requirement.',
      )
    : worstOf([first, ...others]);
}

export const audio: Check<'audio'> = (limits, measurement) => {
  const { sampleRate, bitDepth, minChannels, maxChannels, codecs } = limits;
  const expected = [
    minChannels === undefined ? '' : `at least ${count(minChannels, 'channel')}`,
    maxChannels === undefined ? '' : `at most ${count(maxChannels, 'channel')}`,
    codecs === undefined ? '' : oneOf(codecs),
    sampleRate === undefined ? '' : `${sampleRate} Hz`,
    bitDepth === undefined ? '' : `${bitDepth} bits`,
  ]
    .filter((part) => part !== '')
    .join(', ');
  const channels = measurement.audio.reduce((sum, stream) => sum + stream.channels, 0);
  // `minChannels: 0` is how a target says that silence is welcome.
  if (channels === 0 && minChannels === 0) return met(expected || 'sound', 'no sound');
  const wanted = expected || 'at least one sound stream';
  const few = channels < (minChannels ?? 1);
  if (channels > 0 && (few || channels > (maxChannels ?? Number.POSITIVE_INFINITY))) {
    return missed(
      wanted,
      `${count(channels, 'channel')} over all streams`,
      'Deliver the channels that are asked for.',
    );
  }
  return onEachStream(measurement, wanted, (stream) => {
    const depth = stream.bitDepth === null ? '' : `, ${stream.bitDepth} bits`;
    const measured = `${stream.codec}, ${count(stream.channels, 'channel')}, ${stream.sampleRate} Hz${depth}`;
    const advice = 'Make the sound again as asked for, from the mix.';
    const codecHolds = codecs === undefined || codecs.includes(stream.codec);
    const rateHolds = sampleRate === undefined || stream.sampleRate === sampleRate;
    if (!codecHolds || !rateHolds) return missed(wanted, measured, advice);
    if (bitDepth !== undefined && stream.bitDepth === null) {
      return LOSSY_CODECS.has(stream.codec)
        ? missed(wanted, `${measured}, lossy coding without a sample depth`, advice)
        : unmeasured(wanted, `${measured}, sample depth not stated`, advice);
    }
    return hold(bitDepth === undefined || stream.bitDepth === bitDepth, wanted, measured, advice);
  });
};

/** Several mono streams are parts of a programme; which, and with what weights, the file does not say. */
function isPartOfProgramme(stream: AudioMeasurement, all: readonly AudioMeasurement[]): boolean {
  return stream.channels === 1 && all.length > 1;
}

export const loudness: Check<'loudness'> = ({ target, tolerance }, measurement) => {
  const expected = `${target} LUFS within ${tolerance} LU, integrated, ITU-R BS.1770-5`;
  return onEachStream(measurement, expected, (stream, index) => {
    const advice = 'Normalise the programme to the target after the mix, and measure again.';
    const doubt = doubtAbout(measurement, `audio[${index}].integratedLufs`, 'loudness');
    if (doubt !== null) return unmeasured(expected, doubt, advice);
    if (isPartOfProgramme(stream, measurement.audio)) {
      const reason = 'one of several mono streams: loudness is that of all channels together';
      return unmeasured(expected, reason, 'Measure the programme as one stream with its channel layout.');
    }
    if (channelWeights(stream.channels, stream.layout).weighting === 'assumed') {
      const reason = `the layout of the ${stream.channels} channels is not stated, so their weights are not known`;
      return unmeasured(expected, reason, 'State the channel layout in the file.');
    }
    if (stream.integratedLufs === null) {
      return stream.durationSeconds < ONE_GATING_BLOCK_SECONDS
        ? unmeasured(expected, 'shorter than the 400 ms of one block', advice)
        : missed(
            expected,
            'silence: nothing above the gate at -70 LUFS',
            'Check that the right sound is in the file.',
          );
    }
    const off = Math.abs(stream.integratedLufs - target);
    return hold(off <= tolerance + ROUNDING_DB, expected, lufs(stream.integratedLufs), advice);
  });
};

export const truePeak: Check<'true-peak'> = ({ max, tolerance = 0 }, measurement) => {
  const more = tolerance === 0 ? '' : ` and ${tolerance} dB more`;
  const expected = `true peak at most ${max} dBTP${more}, ITU-R BS.1770-5 Annex 2`;
  return onEachStream(measurement, expected, (stream, index) => {
    const advice = 'Limit the true peaks in the mix, then normalise again.';
    const doubt = doubtAbout(measurement, `audio[${index}].truePeakDbtp`, 'true-peak');
    if (doubt !== null) return unmeasured(expected, doubt, advice);
    if (stream.truePeakDbtp === null) {
      return stream.samples === 0
        ? unmeasured(expected, 'no samples were decoded', 'Check that the sound can be decoded.')
        : met(expected, 'every sample is zero');
    }
    return hold(
      stream.truePeakDbtp <= max + tolerance + ROUNDING_DB,
      expected,
      `${stream.truePeakDbtp.toFixed(2)} dBTP`,
      advice,
    );
  });
};
