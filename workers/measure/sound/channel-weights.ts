import { speakersOf } from '../../../signal/sound/speakers.js';

/**
 * Channel weights of BS.1770-5 by loudspeaker: 1.41 for loudspeakers at the listener's side (azimuth 60 to
 * 120 degrees, elevation below 30 degrees; Annex 3 Table 4), 0 for low-frequency effects, 1 for all others.
 */
const SURROUND = 1.41;

export interface ChannelWeights {
  readonly weights: readonly number[];
  /**
   * `assumed`: the layout is unknown, so every channel counts 1. Surround would then read up to 1.5 dB low,
   * LFE counts in.
   */
  readonly weighting: 'layout' | 'assumed';
}

function weightOf(speaker: string, speakers: readonly string[]): number {
  if (speaker === 'LFE' || speaker === 'LFE2') return 0;
  if (['SL', 'SR', 'WL', 'WR'].includes(speaker)) return SURROUND;
  // Without a side pair the back pair is the surround pair of BS.775 (about 110 degrees); with one it stands
  // behind the listener (about 135 degrees) and weighs 1.
  if (speaker === 'BL' || speaker === 'BR') return speakers.includes('SL') ? 1 : SURROUND;
  return 1;
}

/**
 * Weights of the channels. Without a layout one or two of them count as mono or stereo, where every reading
 * gives 1.
 */
export function channelWeights(channels: number, layout: string | null): ChannelWeights {
  const speakers = speakersOf(channels, layout);
  if (speakers) return { weights: speakers.map((name) => weightOf(name, speakers)), weighting: 'layout' };
  const weights = Array.from({ length: channels }, () => 1);
  return { weights, weighting: layout === null && channels <= 2 ? 'layout' : 'assumed' };
}
