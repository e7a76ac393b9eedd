import { isLossySound } from '../../../jobs/codecs/codec-traits.js';
import { count, oneOf } from '../../../jobs/words/numbers.js';
import { channelName } from '../../measure/sound/sound-events.js';
import { reasonFor } from '../doubt.js';
import { type OneStream, onEachStream } from '../on-sound.js';
import { defineRequirement, type Limits } from '../requirement.js';
import { met, missed, type Ruling, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('audio', {
  title: 'Sound format',
  why: 'Sound in another format is converted later, or refused.',
  expected: (limits, { audio }) => {
    // `minChannels: 0` means that a file without sound is accepted.
    const optional = limits.minChannels === 0 && channelsOf(audio) === 0;
    return formWords(limits) || (optional ? 'sound' : 'at least one sound stream');
  },
  advice: 'Make the sound again from the mix, in the expected format.',
  rule: (limits, measurement, context) => {
    const { minChannels, maxChannels = Number.POSITIVE_INFINITY } = limits;
    const channels = channelsOf(measurement.audio);
    if (channels === 0 && minChannels === 0) return met('no sound');
    if (channels > 0 && (channels < (minChannels ?? 1) || channels > maxChannels)) {
      return missed(`${count(channels, 'channel')} in all streams`, {
        advice: 'Deliver the expected channels.',
      });
    }
    return onEachStream(ruleOnForm)(limits, measurement, context);
  },
});

function channelsOf(audio: readonly { readonly channels: number }[]): number {
  return audio.reduce((sum, stream) => sum + stream.channels, 0);
}

function formWords(limits: Limits<'audio'>): string {
  const { sampleRate, bitDepth, effectiveBitDepth, minChannels, maxChannels, codecs } = limits;
  const { channelsPerStream, layouts } = limits;
  return [
    minChannels === undefined ? '' : `at least ${count(minChannels, 'channel')}`,
    maxChannels === undefined ? '' : `at most ${count(maxChannels, 'channel')}`,
    codecs === undefined ? '' : oneOf(codecs),
    sampleRate === undefined ? '' : `${sampleRate} Hz`,
    bitDepth === undefined ? '' : `${bitDepth} bits`,
    effectiveBitDepth === undefined ? '' : `${effectiveBitDepth} bits really used`,
    channelsPerStream === undefined ? '' : `${oneOf(channelsPerStream)} per stream`,
    layouts === undefined ? '' : `layout ${oneOf(layouts)}`,
  ]
    .filter((part) => part !== '')
    .join(', ');
}

function ruleOnForm(limits: Limits<'audio'>, one: OneStream): Ruling {
  const { sampleRate, bitDepth, effectiveBitDepth, codecs, channelsPerStream, layouts } = limits;
  const { stream } = one;
  const depth = stream.bitDepth === null ? '' : `, ${stream.bitDepth} bits`;
  const layout = layouts === undefined ? '' : `, ${stream.layout ?? 'no layout declared'}`;
  const measured = `${stream.codec}, ${count(stream.channels, 'channel')}, ${stream.sampleRate} Hz${depth}${layout}`;
  const formHolds =
    (codecs === undefined || codecs.includes(stream.codec)) &&
    (sampleRate === undefined || stream.sampleRate === sampleRate) &&
    (channelsPerStream === undefined || channelsPerStream.includes(stream.channels)) &&
    (layouts === undefined || (stream.layout !== null && layouts.includes(stream.layout)));
  if (!formHolds) return missed(measured);
  const limitsDepth = bitDepth !== undefined || effectiveBitDepth !== undefined;
  if (limitsDepth && stream.bitDepth === null) {
    return isLossySound(stream.codec)
      ? missed(`${measured}, a lossy codec without bit depth`)
      : unmeasured(`${measured}, no bit depth declared`);
  }
  if (bitDepth !== undefined && stream.bitDepth !== bitDepth) return missed(measured);
  return effectiveBitDepth === undefined ? met(measured) : usedBits(one, measured, effectiveBitDepth);
}

/**
 * Every channel with sound has to use the bits: one made from a shorter word length has lost them for good.
 */
function usedBits({ stream, index, measurement }: OneStream, measured: string, least: number): Ruling {
  const advice = 'Find out where the low bits were lost, and make the sound again from before that.';
  const { content } = stream;
  if (content === null) {
    return unmeasured(reasonFor(measurement, 'bits in use', `audio[${index}].content`), advice);
  }
  const used = content.channels.flatMap((channel, number) =>
    channel.usedBits === null ? [] : [{ bits: channel.usedBits, name: channelName(content, number) }],
  );
  if (used.length === 0) {
    const silent = content.channels.every(({ samplePeakDbfs }) => samplePeakDbfs === null);
    const reason = silent
      ? 'silence does not show which bits are used'
      : `${stream.codec} does not store whole-number samples`;
    return unmeasured(reason, advice);
  }
  const short = used.filter(({ bits }) => bits < least);
  if (short.length === 0) return met(measured);
  const which = short.map(({ bits, name }) => `${name} ${bits}`).join(', ');
  return missed(`${measured}; really used: ${which}`, { advice });
}
