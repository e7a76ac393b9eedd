import { type LaidSound, laidNames } from '../../jobs/plan/laid-sound.js';
import { grouped } from '../../jobs/words/numbers.js';
import { quantity } from '../../jobs/words/quantities.js';

/**
 * What a plan says of sound that is laid, a note for each file: where the clip lies in it, how much it
 * covers.
 */
export function laidWords(laid: readonly LaidSound[]): string[] {
  return laid.map(({ name, sampleRate, from, samples, covers }) => {
    const at =
      from >= 0
        ? `the clip begins ${exactly(from, sampleRate)} into it`
        : `it begins ${exactly(-from, sampleRate)} after the clip`;
    const covered = covers.to - covers.from;
    const much =
      covered === samples
        ? 'it covers the whole clip'
        : `it covers ${quantity(covered / sampleRate, 's')} of ${quantity(samples / sampleRate, 's')}`;
    return `the sound of ${name} is laid in place of its own, by timecode: ${at}; ${much}`;
  });
}

/** What is lost by it, each as one sentence. */
export function laidLosses(laid: readonly LaidSound[], own: number): string[] {
  const silent = laid.flatMap(({ name, sampleRate, samples, covers }) =>
    [
      { where: 'at its start', samples: covers.from },
      { where: 'at its end', samples: samples - covers.to },
    ]
      .filter(({ samples }) => samples > 0)
      .map(
        (gap) =>
          `silence of ${quantity(gap.samples / sampleRate, 's')} ${gap.where}: ${name} has no sound there`,
      ),
  );
  const tracks = own === 1 ? 'the sound track of the clip is' : `the ${own} sound tracks of the clip are`;
  return [...(own === 0 ? [] : [`${tracks} left out for ${laidNames(laid)}`]), ...silent];
}

function exactly(samples: number, sampleRate: number): string {
  return `${quantity(samples / sampleRate, 's')} (${grouped(samples)} samples)`;
}
