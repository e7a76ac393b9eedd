import type { AudioFacts } from '../../jobs/manifest/facts.js';
import type { OutputRecipe } from '../../jobs/plan/plan.js';

/** Maps, codec and options of an output's sound, stream by stream. */
export function soundArguments(recipe: OutputRecipe, sounds: readonly AudioFacts[]): string[] {
  const { audio } = recipe;
  if (audio === null || audio.streams.length === 0) return ['-an'];
  const options = audio.streams.flatMap((stream) => ['-map', `0:${stream}`]);
  options.push('-c:a', audio.codec);
  if (audio.sampleRate !== null) options.push('-ar', String(audio.sampleRate));
  if (audio.bitRate !== null) options.push('-b:a', String(audio.bitRate));
  if (audio.channels === 'stereo') {
    for (const [index, stream] of audio.streams.entries()) {
      const facts = sounds.find((sound) => sound.stream === stream);
      options.push(`-filter:a:${index}`, stereoFilter(facts));
    }
  }
  return options;
}

/**
 * Two channels to listen to. Mono goes to both at its own level, and channels that nobody named are not
 * mixed: the first two are taken. A named layout is folded down with ffmpeg's coefficients, scaled so that
 * nothing clips.
 */
function stereoFilter(facts: AudioFacts | undefined): string {
  if (facts?.channels === 1) return 'pan=stereo|c0=c0|c1=c0';
  if (facts !== undefined && facts.layout === null) return 'pan=stereo|c0=c0|c1=c1';
  return 'aformat=channel_layouts=stereo';
}
