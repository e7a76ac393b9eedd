import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { count } from '../../../jobs/words/numbers.js';
import { quantity } from '../../../jobs/words/quantities.js';
import { parseRational, toNumber } from '../../../signal/rational.js';
import { doubtAbout } from '../doubt.js';
import { onPicture, type Video } from '../on-picture.js';
import { pictureTrack } from '../picture-track.js';
import { defineRequirement, type Limits } from '../requirement.js';
import { met, missed, unmeasured } from '../ruling.js';

export const requirement = defineRequirement('duration', {
  title: 'Duration of track and picture',
  why: 'Schedules and edits rely on the duration a file declares.',
  expected: ({ maxFrames, seconds }) =>
    `a picture as long as its track declares, within ${count(maxFrames, 'frame')}` +
    (seconds === undefined ? '' : `: ${quantity(seconds, 's')}`),
  advice: 'Copy or make the file again: its track and its picture differ in length.',
  rule: (limits, measurement, context) =>
    limits.seconds !== undefined && measurement.video === null
      ? soundAlone(limits.seconds, measurement)
      : pictureRule(limits, measurement, context),
});

const pictureRule = onPicture<Limits<'duration'>>(({ maxFrames, seconds }, video, measurement) => {
  const rate = parseRational(video.frameRate ?? '');
  if (rate === null) return unmeasured('the file declares no frame rate');
  if (seconds !== undefined) {
    const off = Math.abs(video.durationSeconds - seconds) * toNumber(rate);
    const found = `${quantity(video.durationSeconds, 's')} of picture`;
    if (off > maxFrames + 1e-6) {
      return missed(found, {
        advice: `Deliver a programme of ${quantity(seconds, 's')}, or correct the target.`,
      });
    }
    if (typeof declaredLength(measurement, video) === 'string') return met(found);
  }
  const doubt = doubtAbout(measurement, 'wrapper.tracks');
  if (doubt !== null) return unmeasured(doubt);
  const declared = declaredLength(measurement, video);
  if (typeof declared === 'string') return unmeasured(declared);
  const frames = Math.abs(video.durationSeconds - declared.seconds) * toNumber(rate);
  const measured = `${quantity(video.durationSeconds, 's')} of picture, ${quantity(declared.seconds, 's')} declared${declared.by}`;
  if (frames > maxFrames + 1e-6) return missed(measured);
  // With uneven frames it is not known how long the last one is shown.
  if (video.constantRate !== true) {
    const reason = doubtAbout(measurement, 'video.constantRate') ?? 'the frames are of uneven duration';
    return unmeasured(`${measured}; ${reason}`);
  }
  return met(measured);
});

/** Encoders of sound pad and trim the ends by a few packets of 20 to 50 ms. */
const SOUND_TOLERANCE_SECONDS = 0.1;

function soundAlone(seconds: number, { audio }: Measurement) {
  const longest = Math.max(0, ...audio.map(({ durationSeconds }) => durationSeconds));
  const found = `${quantity(longest, 's')} of sound`;
  return Math.abs(longest - seconds) > SOUND_TOLERANCE_SECONDS
    ? missed(found, { advice: `Deliver a programme of ${quantity(seconds, 's')}, or correct the target.` })
    : met(found);
}

/**
 * The declared length of the picture, or the reason why it is not known. A container that declares no length
 * by track declares one for all tracks: it is the picture's where no other track is longer.
 */
function declaredLength(
  measurement: Measurement,
  video: Video,
): { readonly seconds: number; readonly by: string } | string {
  const track = pictureTrack(measurement);
  if (track !== null && track.presentedSeconds !== null) return { seconds: track.presentedSeconds, by: '' };
  const total = measurement.container.durationSeconds;
  // Matroska's Duration is a field of its header (RFC 9559); what ffprobe gives of streams without header is
  // its own estimate.
  if (track === null || total === null || !/matroska|webm/.test(measurement.container.format)) {
    return 'the container declares no length of the picture';
  }
  const end = (track.startSeconds ?? 0) + video.durationSeconds;
  const soundEnds = measurement.audio.map(
    ({ durationSeconds, startSeconds }) => (track.startSeconds ?? 0) + (startSeconds ?? 0) + durationSeconds,
  );
  const others = measurement.wrapper?.tracks.some(({ kind }) => kind === 'timecode' || kind === 'other');
  if (others || soundEnds.some((soundEnd) => soundEnd > end)) {
    return 'the container declares one length for all tracks, and another track is longer than the picture';
  }
  return { seconds: total - (track.startSeconds ?? 0), by: ' for all tracks' };
}
