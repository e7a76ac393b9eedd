import { count, fixed } from '../../../jobs/words/numbers.js';
import { parseRational, toNumber } from '../../../signal/rational.js';
import { doubtAbout } from '../doubt.js';
import { onPicture } from '../on-picture.js';
import { onEachStream } from '../on-sound.js';
import { defineRequirement, type Limits } from '../requirement.js';
import { hold, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('picture-sound-length', {
  title: 'Lengths of picture and sound',
  why: 'Sound that ends apart from the picture is cut off, or was out of step before.',
  expected: ({ maxFrames }) => `sound as long as the picture within ${count(maxFrames, 'frame')}`,
  advice: 'Trim or pad the sound to the picture.',
  rule: onPicture((limits, video, measurement, context) => {
    const rate = parseRational(video.frameRate ?? '');
    if (rate === null) return unmeasured('the file states no frame rate', 'Wrap the file with a frame rate.');
    const onStreams = onEachStream<Limits<'picture-sound-length'>>(({ maxFrames }, { stream, index }) => {
      const doubt = doubtAbout(measurement, `audio[${index}].durationSeconds`);
      if (doubt !== null) return unmeasured(doubt, 'Measure the file again, with its sound.');
      const frames = (stream.durationSeconds - video.durationSeconds) * toNumber(rate);
      // Durations are doubles: a millionth of a frame is no difference.
      return hold(Math.abs(frames) <= maxFrames + 1e-6, `sound ${length(frames)}`);
    });
    return onStreams(limits, measurement, context);
  }),
});

function length(frames: number): string {
  const rounded = fixed(Math.abs(frames), 2);
  if (rounded === '0.00') return 'as long as the picture';
  return `${rounded} frames ${frames > 0 ? 'longer' : 'shorter'} than the picture`;
}
