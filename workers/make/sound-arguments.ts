import type { AudioFacts } from '../../jobs/manifest/facts.js';
import { type LaidSound, laidTracks } from '../../jobs/plan/laid-sound.js';
import type { OutputRecipe } from '../../jobs/plan/plan.js';
import { LAID_INPUT, laidFilters } from './laid-input.js';

type StereoPart = NonNullable<NonNullable<OutputRecipe['audio']>['stereo']>[number];

/**
 * `-map`, filter graph, codec and options for the sound of an output.
 *
 * @param label name of the sound in the filter graph, unique for each output
 */
export function soundArguments(
  { audio }: OutputRecipe,
  sounds: readonly AudioFacts[],
  label: string,
): string[] {
  if (audio === null || (audio.stereo === null && audio.streams.length === 0)) return ['-an'];
  const { stereo, streams, laid } = audio;
  const options =
    laid !== undefined
      ? laidArguments(audio, laid, label)
      : stereo === null
        ? streams.flatMap((stream) => ['-map', `0:${stream}`])
        : stereoArguments(stereo, sounds, label);
  options.push('-c:a', audio.codec);
  if (audio.sampleRate !== null) options.push('-ar', String(audio.sampleRate));
  if (audio.bitRate !== null) options.push('-b:a', String(audio.bitRate));
  return options;
}

function stereoArguments(
  parts: readonly StereoPart[],
  sounds: readonly AudioFacts[],
  label: string,
): string[] {
  const [first] = parts;
  if (first === undefined) return ['-an'];
  if (parts.length > 1) {
    const aligned = (stream: number): string => `[0:${stream}]aresample=async=1:first_pts=0`;
    return ['-filter_complex', mixGraph(parts, label, aligned), '-map', `[${label}]`];
  }
  const facts = sounds.find(({ stream }) => stream === first.stream);
  const isStereo = facts?.layout === 'stereo' && isLeftAndRight(first);
  return ['-map', `0:${first.stream}`, ...(isStereo ? [] : ['-filter:a:0', panFilter(first)])];
}

function isLeftAndRight({ left, right }: StereoPart): boolean {
  return left.join() === '1,0' && right.join() === '0,1';
}

/** Sound recorded apart, cut to the clip: each stream by itself, or mixed to one. */
function laidArguments(
  { stereo, streams }: NonNullable<OutputRecipe['audio']>,
  laid: readonly LaidSound[],
  label: string,
): string[] {
  const tracks = laidTracks(laid);
  const source = (number: number): string => {
    const track = tracks[number];
    if (track === undefined) throw new RangeError(`no track ${number + 1} of sound that is laid`);
    return `[${LAID_INPUT + track.file}:${track.stream}]${laidFilters(track.of)}`;
  };
  const [first, ...others] = stereo ?? [];
  if (stereo !== null && first !== undefined) {
    const graph =
      others.length > 0
        ? mixGraph(stereo, label, source)
        : `${source(first.stream)},${panFilter(first)}[${label}]`;
    return ['-filter_complex', graph, '-map', `[${label}]`];
  }
  return streams.flatMap((stream, index) => [
    ...['-filter_complex', `${source(stream)}[${label}_${index}]`],
    ...['-map', `[${label}_${index}]`],
  ]);
}

/**
 * Mixes tracks: in double precision, so that 24 bits are kept, each aligned to the start of the file (tracks
 * may start at different times), as long as the longest. `normalize=0`: the gains are in the recipe.
 *
 * @param source begins the chain of a stream
 */
function mixGraph(parts: readonly StereoPart[], label: string, source: (stream: number) => string): string {
  const chains = parts.map((part, index) => `${source(part.stream)},${panFilter(part)}[${label}_${index}]`);
  const inputs = parts.map((_, index) => `[${label}_${index}]`).join('');
  return `${chains.join(';')};${inputs}amix=inputs=${parts.length}:duration=longest:normalize=0[${label}]`;
}

/** A stream as the two channels that the recipe makes of it. */
export function panFilter({ left, right }: StereoPart): string {
  const side = (gains: readonly number[]): string => {
    const terms = gains.flatMap((gain, channel) =>
      gain === 0 ? [] : [gain === 1 ? `c${channel}` : `${gain.toFixed(9)}*c${channel}`],
    );
    return terms.length === 0 ? '0*c0' : terms.join('+');
  };
  return `aformat=sample_fmts=dblp,pan=stereo|c0=${side(left)}|c1=${side(right)}`;
}
