import type { SoundChannel, SoundContent } from '../../../jobs/measurement/measured-sound.js';
import { speakersOf } from '../../../signal/sound/speakers.js';
import { ChannelSums } from './channel-sums.js';
import { ClipMeter } from './clip-meter.js';
import { decibels, powerDecibels } from './decibels.js';
import type { Hop } from './hop.js';
import { IdenticalChannels } from './identical-channels.js';
import { ToneMeter } from './line-up-tone.js';
import { PairMeter } from './pair-meter.js';
import { QuietMeter } from './quiet-runs.js';
import type { TruePeak } from './true-peak.js';

/** Left loudspeakers and the right one of each. */
const PAIRS: readonly (readonly [string, string])[] = [
  ['FL', 'FR'],
  ['SL', 'SR'],
  ['BL', 'BR'],
  ['FLC', 'FRC'],
  ['WL', 'WR'],
  ['DL', 'DR'],
  ['TFL', 'TFR'],
  ['TSL', 'TSR'],
  ['TBL', 'TBR'],
  ['BFL', 'BFR'],
];

/** Which channels are left and right; null where that is not known. */
export function pairsOf(
  channels: number,
  layout: string | null,
): { readonly left: number; readonly right: number }[] | null {
  if (channels === 1) return [];
  const speakers = speakersOf(channels, layout);
  // Two channels without layout count as stereo, as for loudness.
  if (speakers === null) return channels === 2 && layout === null ? [{ left: 0, right: 1 }] : null;
  return PAIRS.map(([left, right]) => ({
    left: speakers.indexOf(left),
    right: speakers.indexOf(right),
  })).filter(({ left, right }) => left >= 0 && right >= 0);
}

class ChannelStudy {
  readonly sums: ChannelSums;
  readonly #clipping: ClipMeter;
  readonly #quiet: QuietMeter;
  readonly #tone: ToneMeter;

  constructor(
    readonly speaker: string | null,
    sampleRate: number,
    sampleDepth: number | null,
  ) {
    this.sums = new ChannelSums(sampleDepth);
    this.#clipping = new ClipMeter(sampleRate, sampleDepth);
    this.#quiet = new QuietMeter(sampleRate);
    this.#tone = new ToneMeter(sampleRate);
  }

  /** Sum of the squares of the hop. */
  push(hop: Hop, at: number): number {
    const squares = this.sums.push(hop);
    this.#clipping.push(hop, at);
    this.#quiet.push([hop], at);
    this.#tone.push(hop, at, squares);
    return squares;
  }

  finish(samples: number, { truePeak, samplePeak }: Pick<TruePeak, 'truePeak' | 'samplePeak'>): SoundChannel {
    return {
      speaker: this.speaker,
      truePeakDbtp: decibels(truePeak),
      samplePeakDbfs: decibels(samplePeak),
      rmsDbfs: powerDecibels(this.sums.meanSquare(samples)),
      dcOffset: this.sums.mean(samples),
      usedBits: this.sums.usedBits,
      clipping: this.#clipping.finish(samples),
      quiet: this.#quiet.finish(samples),
      tone: this.#tone.finish(),
    };
  }
}

/**
 * Figures of a stream besides loudness, gathered hop by hop. Memory is bounded whatever the
 * length.
 */
export class SoundStudy {
  readonly #channels: readonly ChannelStudy[];
  readonly #quiet: QuietMeter;
  readonly #pairs: readonly PairMeter[] | null;
  readonly #identical: IdenticalChannels;

  constructor(format: {
    readonly sampleRate: number;
    readonly channels: number;
    readonly layout: string | null;
    readonly sampleDepth: number | null;
  }) {
    const { sampleRate, channels, layout, sampleDepth } = format;
    const speakers = speakersOf(channels, layout);
    this.#channels = Array.from(
      { length: channels },
      (_, channel) => new ChannelStudy(speakers?.[channel] ?? null, sampleRate, sampleDepth),
    );
    this.#quiet = new QuietMeter(sampleRate);
    this.#pairs = pairsOf(channels, layout)?.map(({ left, right }) => new PairMeter(left, right)) ?? null;
    this.#identical = new IdenticalChannels(channels);
  }

  /**
   * A hop of every channel, in step. @param at index of their first sample in the stream.
   * @param isWhole false for what is left at the end of the stream.
   */
  push(hops: readonly Hop[], at: number, isWhole: boolean): void {
    const squares = this.#channels.map((channel, index) => {
      const hop = hops[index];
      return hop ? channel.push(hop, at) : 0;
    });
    this.#quiet.push(hops, at);
    this.#identical.push(hops);
    for (const pair of this.#pairs ?? []) {
      const left = hops[pair.left];
      const right = hops[pair.right];
      if (left && right) {
        pair.push(left, right, squares[pair.left] ?? 0, squares[pair.right] ?? 0, at, isWhole);
      }
    }
  }

  /** @param samples length of the stream; @param peaks of the channels. */
  finish(samples: number, peaks: readonly Pick<TruePeak, 'truePeak' | 'samplePeak'>[]): SoundContent {
    const squaresOf = (channel: number): number => this.#channels[channel]?.sums.squares ?? 0;
    return {
      channels: this.#channels.map((channel, index) =>
        channel.finish(samples, peaks[index] ?? { truePeak: 0, samplePeak: 0 }),
      ),
      quiet: this.#quiet.finish(samples),
      pairs: this.#pairs?.map((pair) => pair.finish(squaresOf(pair.left), squaresOf(pair.right))) ?? null,
      identical: this.#identical.pairs,
    };
  }
}
