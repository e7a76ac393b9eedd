import type { ContainerTrack } from '../../../jobs/measurement/measured-container.js';
import type { AudioMeasurement } from '../../../jobs/measurement/measurement.js';
import { count } from '../../../jobs/words/numbers.js';
import { quantity } from '../../../jobs/words/quantities.js';
import { parseRational, toNumber } from '../../../signal/rational.js';
import { doubtAbout, reasonFor } from '../doubt.js';
import { onPicture } from '../on-picture.js';
import { pictureTrack } from '../picture-track.js';
import { defineRequirement } from '../requirement.js';
import { met, metIf, missed, type Ruling, unmeasured } from '../ruling.js';

/** Times are sums of quotients of clocks: differences below a millionth of a sample are rounding. */
const ROUNDING = 1e-6;

export const requirement = defineRequirement('edit-list', {
  title: 'Start of picture and sound (edit lists)',
  why: 'Some programs ignore edit lists: what these shift or cut is then out of sync.',
  expected: ({ maxSamples, simple }) =>
    `picture and sound begin together, within ${count(maxSamples, 'sample')}${simple ? ', with one plain edit each' : ''}`,
  advice: 'Write the file again from its start, without an edit list that shifts or cuts.',
  rule: onPicture(({ maxSamples, simple }, video, measurement) => {
    const { wrapper, audio } = measurement;
    const picture = pictureTrack(measurement);
    // A container whose structure could not be read may have edit lists that were not seen.
    if (wrapper === null || picture === null || doubtAbout(measurement, 'wrapper.tracks') !== null) {
      return unmeasured(reasonFor(measurement, 'tracks', 'wrapper.tracks'));
    }
    const sounds = wrapper.tracks.filter(({ kind }) => kind === 'audio');
    const rate = parseRational(video.frameRate ?? '');
    return [
      simple ? plainEdits([picture, ...sounds], rate === null ? null : 1 / toNumber(rate)) : met(''),
      ...sounds
        .map((sound, index) => ({ picture, sound, stream: audio[index], number: index + 1 }))
        .map((pair) => startTogether(pair, maxSamples)),
    ];
  }),
});

/** One edit at the speed it was recorded, with nothing but delay before it, and no picture hidden. */
function plainEdits(tracks: readonly ContainerTrack[], frameSeconds: number | null): Ruling {
  for (const { kind, edits, mediaSeconds, presentedSeconds } of tracks) {
    if (edits === null) continue;
    const shown = edits.filter(({ mediaStartSeconds }) => mediaStartSeconds !== null);
    if (shown.length > 1) return missed(`${kind} is made of ${shown.length} edits`);
    const [edit] = shown;
    if (edit !== undefined && edit.rate !== 1) {
      return missed(`${kind} is presented at ${edit.rate} times its speed`);
    }
    if (kind !== 'video' || mediaSeconds === null || presentedSeconds === null || frameSeconds === null) {
      continue;
    }
    const hidden = Math.round((mediaSeconds - presentedSeconds) / frameSeconds);
    if (hidden > 0) return missed(`the edit list hides ${count(hidden, 'frame')} that the file holds`);
  }
  const known = tracks.some(({ edits }) => edits !== null);
  return met(known ? 'one plain edit each' : 'the container has no edit lists');
}

/** The picture and one of its sound tracks, numbered from 1. */
interface Pair {
  readonly picture: ContainerTrack;
  readonly sound: ContainerTrack;
  readonly stream: AudioMeasurement | undefined;
  readonly number: number;
}

function startTogether({ picture, sound, stream, number }: Pair, maxSamples: number): Ruling {
  if (picture.startSeconds === null || sound.startSeconds === null || stream === undefined) {
    return unmeasured(`the container declares no start of sound ${number}`);
  }
  const late = sound.startSeconds - picture.startSeconds;
  const offset = Math.abs(late * stream.sampleRate);
  const samples = Math.round(offset);
  const measured =
    samples === 0
      ? `sound ${number} begins with the picture`
      : `sound ${number} begins ${quantity(Math.abs(late), 's')} (${count(samples, 'sample')}) ${late > 0 ? 'after' : 'before'} the picture`;
  return metIf(offset <= maxSamples + ROUNDING, measured);
}
