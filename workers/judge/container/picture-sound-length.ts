import { count, fixed } from '../../../jobs/words/numbers.js';
import { parseRational, toNumber } from '../../../signal/rational.js';
import { doubtAbout } from '../doubt.js';
import { onPicture } from '../on-picture.js';
import { onEachStream } from '../on-sound.js';
import { defineRequirement, type Limits } from '../requirement.js';
import { metIf, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('picture-sound-length', {
  title: 'Lengths of picture and sound',
  why: 'Sound longer or shorter than the picture is cut off, or was out of sync before.',
  expected: ({ maxFrames }) => `sound as long as the picture within ${count(maxFrames, 'frame')}`,
  advice: 'Trim or pad the sound to the picture.',
  rule: onPicture((limits, video, measurement, context) => {
    const rate = parseRational(video.frameRate ?? '');
    if (rate === null)
      return unmeasured('the file declares no frame rate', 'Wrap the file with a frame rate.');
    const onStreams = onEachStream<Limits<'picture-sound-length'>>(({ maxFrames }, { stream, index }) => {
      const doubt = doubtAbout(measurement, `audio[${index}].durationSeconds`);
      if (doubt !== null) return unmeasured(doubt, 'Measure the file again, with its sound.');
      const frames = (stream.durationSeconds - video.durationSeconds) * toNumber(rate);
      // Durations are doubles: differences below a millionth of a frame are rounding.
      return metIf(Math.abs(frames) <= maxFrames + 1e-6, `sound ${length(frames)}`);
    });
    return onStreams(limits, measurement, context);
  }),
});

function length(frames: number): string {
  const rounded = fixed(Math.abs(frames), 2);
  if (rounded === '0.00') return 'as long as the picture';
  return `${rounded} frames ${frames > 0 ? 'longer' : 'shorter'} than the picture`;
}
