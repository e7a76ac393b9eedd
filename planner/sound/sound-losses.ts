import { soundCodec } from '../../jobs/codecs/sound-codecs.js';
import type { AudioFacts } from '../../jobs/manifest/facts.js';
import { laidTracks } from '../../jobs/plan/laid-sound.js';
import type { Loss, OutputRecipe } from '../../jobs/plan/plan.js';
import { speakersOf } from '../../signal/sound/speakers.js';
import { laidLosses } from './laid-words.js';

type StereoParts = NonNullable<NonNullable<OutputRecipe['audio']>['stereo']>;
type StereoPart = StereoParts[number];

/**
 * What the output does not keep of the original's sound, each track and channel by its number or loudspeaker.
 */
export function nameSoundLosses(own: readonly AudioFacts[], { audio }: OutputRecipe): Loss[] {
  const tracks = audio?.laid === undefined ? own : laidTracks(audio.laid).map(({ facts }) => facts);
  if (tracks.length === 0) return [];
  if (audio === null) return [{ what: 'sound', why: 'the sound is left out' }];
  const losses = audio.laid === undefined ? [] : laidLosses(audio.laid, own.length);
  const coding = soundCodec(audio.codec).loss;
  if (coding !== null) losses.push(coding);
  const { stereo } = audio;
  if (stereo !== null) {
    const left = tracks.flatMap(({ stream }, index) =>
      stereo.some((part) => part.stream === stream) ? [] : [index + 1],
    );
    if (left.length > 0) losses.push(`${numbered('sound track', left)} left out`);
    for (const part of stereo) {
      const index = tracks.findIndex(({ stream }) => stream === part.stream);
      const track = tracks[index];
      if (track !== undefined) losses.push(...unheardChannels(track, index + 1, part));
    }
    const mixing = mixText(tracks, stereo);
    if (mixing !== null) losses.push(mixing);
  }
  return losses.map((why) => ({ what: 'sound', why }));
}

/** Channels of a used track that are on neither side. */
function unheardChannels(track: AudioFacts, number: number, { left, right }: StereoPart): string[] {
  const speakers = speakersOf(track.channels, track.layout);
  const silent = left.flatMap((gain, channel) => (gain === 0 && right[channel] === 0 ? [channel] : []));
  if (silent.length === 0) return [];
  const names =
    speakers === null
      ? numbered(
          'channel',
          silent.map((channel) => channel + 1),
        )
      : `${silent.map((channel) => speakers[channel]).join(', ')} ${silent.length === 1 ? 'is' : 'are'}`;
  const why = speakers === null ? ' (its layout is not declared, so it cannot be folded down)' : '';
  return [`${names} left out of sound track ${number}${why}`];
}

/** How channels are mixed; null where each side is one channel at its own level. */
function mixText(tracks: readonly AudioFacts[], parts: StereoParts): string | null {
  const sides = (['left', 'right'] as const).map((side) => ({ side, terms: termsOf(tracks, parts, side) }));
  if (sides.every(({ terms }) => terms.length <= 1)) return null;
  const isFold = parts.some(({ left }) => left.length > 2);
  const layout = tracks.find(({ stream }) => stream === parts[0]?.stream)?.layout;
  const what = parts.length > 1 ? `${parts.length} sound tracks are mixed` : `${layout} is folded down`;
  const sums = sides.map(({ side, terms }) => `${side} = ${terms.join(' + ')}`).join(', ');
  const rule = isFold ? 'coefficients of ITU-R BS.775, ' : '';
  return `${what} to stereo: ${sums} (${rule}scaled so that it cannot clip)`;
}

function termsOf(tracks: readonly AudioFacts[], parts: StereoParts, side: 'left' | 'right'): string[] {
  return parts.flatMap((part) => {
    const number = tracks.findIndex(({ stream }) => stream === part.stream);
    const track = tracks[number];
    const speakers = track === undefined ? null : speakersOf(track.channels, track.layout);
    return part[side].flatMap((gain, channel) => {
      if (gain === 0) return [];
      const name = speakers?.[channel] ?? `channel ${channel + 1}`;
      const of = part.left.length === 1 ? `track ${number + 1}` : name;
      const term = parts.length > 1 && part.left.length > 1 ? `${name} of track ${number + 1}` : of;
      return [gain === 1 ? term : `${gain.toFixed(3)} ${term}`];
    });
  });
}

/** `sound track 2 is`, `channels 3, 4, 5 are`. */
function numbered(noun: string, numbers: readonly number[]): string {
  return numbers.length === 1 ? `${noun} ${numbers[0]} is` : `${noun}s ${numbers.join(', ')} are`;
}
