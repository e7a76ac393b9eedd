import { isLossySound } from '../../jobs/codecs/codec-traits.js';
import type { AudioMeasurement, Measurement } from '../../jobs/measurement/measurement.js';
import { channelWeights } from '../measure/sound/channel-weights.js';
import { channelName } from '../measure/sound/sound-events.js';
import { doubtAbout, reasonFor } from './doubt.js';
import { onEachStream } from './each-stream.js';
import { count, lufs, oneOf } from './figures.js';
import { type Check, doubtful, hold, met, missed, type Ruling, unmeasured } from './ruling.js';

/** Below this many seconds BS.1770 has no block to measure. */
const ONE_GATING_BLOCK_SECONDS = 0.4;
/** Shorter programmes have too few windows for percentiles to say much (EBU Tech 3342, from memory). */
const SHORTEST_RANGE_SECONDS = 60;
const RANGE_CAUTION = 'Do not rely on the loudness range of so short a programme.';
/** Rounding of doubles in the decibel scale; far below anything a meter shows. */
const ROUNDING_DB = 1e-9;

export const audio: Check<'audio'> = (limits, measurement) => {
  const { sampleRate, bitDepth, effectiveBitDepth, minChannels, maxChannels, codecs } = limits;
  const { channelsPerStream, layouts } = limits;
  const expected = [
    minChannels === undefined ? '' : `at least ${count(minChannels, 'channel')}`,
    maxChannels === undefined ? '' : `at most ${count(maxChannels, 'channel')}`,
    codecs === undefined ? '' : oneOf(codecs),
    sampleRate === undefined ? '' : `${sampleRate} Hz`,
    bitDepth === undefined ? '' : `${bitDepth} bits`,
    effectiveBitDepth === undefined ? '' : `${effectiveBitDepth} bits really used`,
    channelsPerStream === undefined ? '' : `${oneOf(channelsPerStream)} to a stream`,
    layouts === undefined ? '' : `layout ${oneOf(layouts)}`,
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
  return onEachStream(measurement, wanted, (stream, index) => {
    const depth = stream.bitDepth === null ? '' : `, ${stream.bitDepth} bits`;
    const layout = layouts === undefined ? '' : `, ${stream.layout ?? 'no layout stated'}`;
    const measured = `${stream.codec}, ${count(stream.channels, 'channel')}, ${stream.sampleRate} Hz${depth}${layout}`;
    const advice = 'Make the sound again as asked for, from the mix.';
    const formHolds =
      (codecs === undefined || codecs.includes(stream.codec)) &&
      (sampleRate === undefined || stream.sampleRate === sampleRate) &&
      (channelsPerStream === undefined || channelsPerStream.includes(stream.channels)) &&
      (layouts === undefined || (stream.layout !== null && layouts.includes(stream.layout)));
    if (!formHolds) return missed(wanted, measured, advice);
    const asksDepth = bitDepth !== undefined || effectiveBitDepth !== undefined;
    if (asksDepth && stream.bitDepth === null) {
      return isLossySound(stream.codec)
        ? missed(wanted, `${measured}, lossy coding without a sample depth`, advice)
        : unmeasured(wanted, `${measured}, sample depth not stated`, advice);
    }
    if (bitDepth !== undefined && stream.bitDepth !== bitDepth) return missed(wanted, measured, advice);
    if (effectiveBitDepth === undefined) return met(wanted, measured);
    return usedBits(measurement, stream, index, { wanted, measured, least: effectiveBitDepth });
  });
};

/** Every channel that sounds has to use the bits: one that was laid from a shorter word lost them for good. */
function usedBits(
  measurement: Measurement,
  stream: AudioMeasurement,
  index: number,
  { wanted, measured, least }: { readonly wanted: string; readonly measured: string; readonly least: number },
): Ruling {
  const advice = 'Find out where the low bits were lost, and make the sound again from before.';
  const { content } = stream;
  if (content === null) {
    return unmeasured(wanted, reasonFor(measurement, 'bits in use', `audio[${index}].content`), advice);
  }
  const used = content.channels.flatMap((channel, number) =>
    channel.usedBits === null ? [] : [{ bits: channel.usedBits, name: channelName(content, number) }],
  );
  if (used.length === 0) {
    const silent = content.channels.every(({ samplePeakDbfs }) => samplePeakDbfs === null);
    const reason = silent ? 'silence uses no bits' : `${stream.codec} does not store whole-number samples`;
    return unmeasured(wanted, reason, advice);
  }
  const short = used.filter(({ bits }) => bits < least);
  if (short.length === 0) return met(wanted, measured);
  const which = short.map(({ bits, name }) => `${name} ${bits}`).join(', ');
  return missed(wanted, `${measured}; really used: ${which}`, advice);
}

/** Several mono streams are parts of a programme; which, and with what weights, the file does not say. */
function isPartOfProgramme(stream: AudioMeasurement, all: readonly AudioMeasurement[]): boolean {
  return stream.channels === 1 && all.length > 1;
}

/** Why no loudness of a stream can be judged, whichever it is; null when it can. */
export function loudnessObstacle(
  measurement: Measurement,
  stream: AudioMeasurement,
  index: number,
  expected: string,
  advice: string,
): Ruling | null {
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
  return null;
}

export const loudness: Check<'loudness'> = ({ target, tolerance }, measurement) => {
  const expected = `${target} LUFS within ${tolerance} LU, integrated, ITU-R BS.1770-5`;
  return onEachStream(measurement, expected, (stream, index) => {
    const advice = 'Normalise the programme to the target after the mix, and measure again.';
    const obstacle = loudnessObstacle(measurement, stream, index, expected, advice);
    if (obstacle !== null) return obstacle;
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

/** How a tolerance is written behind its limit. */
function over(tolerance: number): string {
  return tolerance === 0 ? '' : ` within ${tolerance} LU`;
}

/** A limit on the largest loudness of a window; a stream without one whole window has none. */
function windowLimit(
  measurement: Measurement,
  { max, tolerance }: { readonly max: number; readonly tolerance: number },
  window: {
    readonly seconds: number;
    readonly name: string;
    readonly figure: 'maxMomentaryLufs' | 'maxShortTermLufs';
  },
): Ruling {
  const expected = `${window.name} loudness at most ${max} LUFS${over(tolerance)}, windows of ${window.seconds} s, EBU Tech 3341 v4`;
  return onEachStream(measurement, expected, (stream, index) => {
    const advice = 'Take the loudest passage down in the mix, then measure again.';
    const doubt = doubtAbout(measurement, `audio[${index}].${window.figure}`);
    if (doubt !== null) return unmeasured(expected, doubt, advice);
    const obstacle = loudnessObstacle(measurement, stream, index, expected, advice);
    if (obstacle !== null) return obstacle;
    const value = stream[window.figure];
    if (value === null) {
      return stream.durationSeconds < window.seconds
        ? unmeasured(expected, `shorter than the ${window.seconds} s of one window`, advice)
        : met(expected, 'silence');
    }
    return hold(value <= max + tolerance + ROUNDING_DB, expected, lufs(value), advice);
  });
}

export const maxMomentary: Check<'max-momentary'> = (limits, measurement) =>
  windowLimit(measurement, limits, {
    seconds: ONE_GATING_BLOCK_SECONDS,
    name: 'momentary',
    figure: 'maxMomentaryLufs',
  });

export const maxShortTerm: Check<'max-short-term'> = (limits, measurement) =>
  windowLimit(measurement, limits, { seconds: 3, name: 'short-term', figure: 'maxShortTermLufs' });

export const range: Check<'loudness-range'> = ({ min, max, tolerance }, measurement) => {
  const limits = min === undefined ? `at most ${max} LU` : `${min} to ${max} LU`;
  const expected = `loudness range ${limits}${over(tolerance)}, EBU Tech 3342 v4`;
  return onEachStream(measurement, expected, (stream, index) => {
    const advice =
      'Narrow or widen the dynamics in the mix, not by a compressor over the finished programme.';
    const doubt = doubtAbout(measurement, `audio[${index}].loudnessRange`);
    if (doubt !== null) return unmeasured(expected, doubt, advice);
    const obstacle = loudnessObstacle(measurement, stream, index, expected, advice);
    if (obstacle !== null) return obstacle;
    const value = stream.loudnessRange;
    if (value === null) return unmeasured(expected, 'no 3 s of it are above the gate at -70 LUFS', advice);
    const measured = `${value.toFixed(2)} LU`;
    const more = tolerance + ROUNDING_DB;
    const inside = value <= max + more && value >= (min ?? 0) - more;
    if (!inside) return missed(expected, measured, advice);
    return stream.durationSeconds < SHORTEST_RANGE_SECONDS
      ? doubtful(expected, `${measured}, of ${stream.durationSeconds.toFixed(1)} s`, RANGE_CAUTION)
      : met(expected, measured);
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
