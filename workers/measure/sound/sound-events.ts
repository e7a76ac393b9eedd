import {
  type ChannelPair,
  MOST_CLIP_PLACES,
  type SoundContent,
} from '../../../jobs/measurement/measured-sound.js';
import type { AudioMeasurement, MeasuredEvent } from '../../../jobs/measurement/measurement.js';
import { count } from '../../../jobs/words/numbers.js';
import { quantity } from '../../../jobs/words/quantities.js';
import type { Rational } from '../../../signal/rational.js';
import type { FrameClock } from '../figures/frame-ranges.js';
import type { SampleRun } from './longest-runs.js';
import { secondsText, soundFrames } from './sound-place.js';

/**
 * Thresholds of events. These are no limits, only what is shown on the timeline by common practice (no
 * source); targets set their own limits, which are judged by the runs of the content.
 */
export const SILENCE_EVENT = { below: -60, seconds: 1 } as const;
export const PHASE_EVENT = { below: -0.5, seconds: 1 } as const;

/** `channel 1 (FL)`, numbered from 1. */
export function channelName(content: SoundContent, channel: number): string {
  const speaker = content.channels[channel]?.speaker ?? null;
  return speaker === null ? `channel ${channel + 1}` : `channel ${channel + 1} (${speaker})`;
}

export function pairName(content: SoundContent, { left, right }: ChannelPair): string {
  return `${channelName(content, left)} and ${channelName(content, right)}`;
}

/** Silence, clipping, inverted channels and line-up of one stream as events of the file. */
export function soundEvents(
  audio: AudioMeasurement,
  clock: FrameClock,
  frameRate: Rational | null,
): MeasuredEvent[] {
  const { content, sampleRate } = audio;
  if (content === null) return [];
  const event = (kind: string, run: SampleRun, detail: string): MeasuredEvent => {
    const { from, to } = soundFrames(run, audio, frameRate);
    const range =
      frameRate === null ? { from, to, fromTimecode: null, toTimecode: null } : clock.range(from, to);
    const at = `at ${quantity(run.from / sampleRate, 's')}`;
    return { kind, ...range, detail: `stream ${audio.stream}, ${at}: ${detail}` };
  };
  const lasts = (run: SampleRun, seconds: number): boolean => run.to - run.from >= seconds * sampleRate;

  const silence = (content.quiet.find(({ below }) => below === SILENCE_EVENT.below)?.longest ?? [])
    .filter((run) => lasts(run, SILENCE_EVENT.seconds))
    .map((run) => {
      const level =
        run.peakDbfs === null ? 'every sample zero' : `highest sample ${quantity(run.peakDbfs, 'dBFS')}`;
      const length = secondsText(run, sampleRate);
      return event(
        'silence',
        run,
        `all channels at or below ${SILENCE_EVENT.below} dBFS for ${length}, ${level}`,
      );
    });

  const clipping = clipPlaces(content, sampleRate).map((place) => {
    const names = place.channels.map((channel) => channelName(content, channel)).join(', ');
    return event('clipping', place, `${names}, ${count(place.runs, 'run')} of full-scale samples`);
  });

  const outOfPhase = (content.pairs ?? []).flatMap((pair) =>
    (pair.outOfPhase.find(({ below }) => below === PHASE_EVENT.below)?.longest ?? [])
      .filter((run) => lasts(run, PHASE_EVENT.seconds))
      .map((run) => {
        const what = `correlation of ${pairName(content, pair)} below ${PHASE_EVENT.below}`;
        return event('out-of-phase', run, `${what} for ${secondsText(run, sampleRate)}`);
      }),
  );

  const tones = content.channels.flatMap(({ tone }, channel) =>
    tone === null
      ? []
      : [
          event(
            'line-up-tone',
            tone,
            `${channelName(content, channel)}, 1 kHz at ${quantity(tone.levelDbfs, 'dBFS')} for ${secondsText(tone, sampleRate)}`,
          ),
        ],
  );
  return [...silence, ...clipping, ...outOfPhase, ...tones];
}

interface ClipPlace extends SampleRun {
  readonly runs: number;
  readonly channels: readonly number[];
}

/**
 * Places of all channels together: clipping of several channels at the same time is one event. The first
 * hundred.
 */
function clipPlaces(content: SoundContent, sampleRate: number): ClipPlace[] {
  const joined: ClipPlace[] = [];
  const all = content.channels.flatMap(({ clipping }, channel) =>
    clipping.places.map((place) => ({ ...place, channels: [channel] })),
  );
  for (const place of all.sort((a, b) => a.from - b.from)) {
    const last = joined.at(-1);
    if (last === undefined || place.from - last.to >= sampleRate) joined.push(place);
    else {
      joined[joined.length - 1] = {
        from: last.from,
        to: Math.max(last.to, place.to),
        runs: last.runs + place.runs,
        channels: [...new Set([...last.channels, ...place.channels])].sort((a, b) => a - b),
      };
    }
  }
  return joined.slice(0, MOST_CLIP_PLACES);
}
