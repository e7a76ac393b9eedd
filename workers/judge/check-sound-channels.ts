import { channelName, pairName } from '../measure/sound/sound-events.js';
import { withoutPair } from './check-sound-runs.js';
import { onEachContent } from './each-stream.js';
import { percent } from './figures.js';
import { type Check, hold, met, unmeasured } from './ruling.js';

/** Rounding of sums of doubles, dB; far below anything a meter shows. */
const ROUNDING_DB = 1e-9;
const STATE_LAYOUT = 'State the channel layout in the file.';

export const monoFoldDown: Check<'mono-fold-down'> = ({ maxLoss }, measurement) => {
  const expected = `left and right lose at most ${maxLoss} dB when added to mono`;
  const advice =
    'Listen in mono, quietly at first: if sound vanishes, look for a channel with its polarity turned.';
  return onEachContent(measurement, expected, (content, stream) => {
    if (content.pairs === null) {
      const reason = `which of the ${stream.channels} channels are a left and a right one is not stated`;
      return unmeasured(expected, reason, STATE_LAYOUT);
    }
    if (content.pairs.length === 0) return withoutPair(expected, measurement, stream);
    const losses = content.pairs.flatMap((pair) =>
      pair.foldDownLossDb === null ? [] : [{ pair, loss: pair.foldDownLossDb }],
    );
    const worst = losses.reduce<(typeof losses)[number] | null>(
      (most, each) => (most === null || each.loss > most.loss ? each : most),
      null,
    );
    if (worst === null) return met(expected, 'silence');
    const measured = `${pairName(content, worst.pair)} lose ${worst.loss.toFixed(2)} dB`;
    return hold(worst.loss <= maxLoss + ROUNDING_DB, expected, measured, advice);
  });
};

export const identicalChannels: Check<'identical-channels'> = ({ sideBelow }, measurement) => {
  const near =
    sideBelow === undefined ? '' : `, nor left and right with a difference ${-sideBelow} dB below their sum`;
  const expected = `no two channels the same to the last bit${near}`;
  const advice = 'Look up the routing of the mix: one channel was laid twice.';
  return onEachContent(measurement, expected, (content, stream) => {
    const name = (channel: number): string => channelName(content, channel);
    const same = content.identical.map(
      ({ first, second }) => `${name(first)} and ${name(second)} are the same`,
    );
    const unknown = sideBelow !== undefined && content.pairs === null;
    const alike = (content.pairs ?? [])
      .filter(({ left, right }) => !content.identical.some((i) => i.first === left && i.second === right))
      .filter(({ sideToMidDb }) => sideBelow !== undefined && sideToMidDb !== null && sideToMidDb < sideBelow)
      .map((pair) => `${pairName(content, pair)} differ by ${pair.sideToMidDb?.toFixed(1)} dB`);
    const found = [...same, ...alike];
    if (found.length === 0 && unknown) {
      const reason = `which of the ${stream.channels} channels are a left and a right one is not stated`;
      return unmeasured(expected, reason, STATE_LAYOUT);
    }
    if (found.length === 0 && stream.channels === 1 && measurement.audio.length > 1) {
      const reason = 'one of several mono streams, which are not compared with each other';
      return unmeasured(expected, reason, 'Measure the channels as one stream.');
    }
    return hold(found.length === 0, expected, found.length === 0 ? 'none' : found.join(', '), advice);
  });
};

export const dcOffset: Check<'dc-offset'> = ({ max }, measurement) => {
  const expected = `mean of each channel within ${percent(max)} of full scale`;
  const advice = 'Take the offset away with a high pass before the last normalisation.';
  return onEachContent(measurement, expected, (content) => {
    const offsets = content.channels.map(({ dcOffset: mean }, channel) => ({ channel, mean: mean ?? 0 }));
    const worst = offsets.reduce((most, each) => (Math.abs(each.mean) > Math.abs(most.mean) ? each : most));
    const measured = `${channelName(content, worst.channel)} ${percent(worst.mean)}`;
    return hold(Math.abs(worst.mean) <= max * (1 + 1e-9), expected, measured, advice);
  });
};

export const lineUpTone: Check<'line-up-tone'> = ({ level, tolerance }, measurement) => {
  const expected = `1 kHz at ${level} dBFS within ${tolerance} dB, a second and more in the first two minutes`;
  const advice =
    'Make the line-up again; the programme after it is as loud as the line-up promises only when that is true.';
  return onEachContent(measurement, expected, (content) => {
    const tones = content.channels
      .map(({ tone, speaker }, channel) => ({ tone, speaker, name: channelName(content, channel) }))
      .filter(({ speaker }) => !speaker?.startsWith('LFE'));
    const holds = tones.every(
      ({ tone }) => tone !== null && Math.abs(tone.levelDbfs - level) <= tolerance + ROUNDING_DB,
    );
    const measured = tones
      .map(({ tone, name }) => `${name} ${tone === null ? 'none' : `${tone.levelDbfs.toFixed(2)} dBFS`}`)
      .join(', ');
    return hold(holds && tones.length > 0, expected, measured, advice);
  });
};
