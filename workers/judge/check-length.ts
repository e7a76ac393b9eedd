import type { ContainerTrack } from '../../jobs/measurement/measured-container.js';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import { parseRational, toNumber } from '../../signal/rational.js';
import { withVideo } from './check-format.js';
import { doubtAbout, reasonFor } from './doubt.js';
import { count } from './figures.js';
import { type Check, hold, missed, unmeasured } from './ruling.js';

type Video = NonNullable<Measurement['video']>;

/** A number of frames and who gives it, in words that follow the number. */
interface FrameTally {
  readonly frames: number;
  readonly by: string;
}

/** Less than this share of a frame is the rounding of a container's clock. */
const CLOCK_ROUNDING = 0.5;

export const frameCount: Check<'frame-count'> = (_, measurement) => {
  const expected = 'as many frames decoded as packets hold and the container counts';
  return withVideo(measurement, expected, (video) => {
    const advice = 'Copy or make the file again: frames are missing or too many.';
    if (video.frames === 0) return missed(expected, 'not one frame decoded', 'Make the file again.');
    const hidden = hiddenFrames(measurement, video);
    if (hidden === null) {
      const reason =
        'an edit list hides frames, holds them or changes their speed, and how many cannot be told';
      return unmeasured(expected, reason, 'Flatten the edit list: wrap the programme again without it.');
    }
    const declared = declaredTallies(measurement, video, hidden);
    const packets = packetTally(measurement, video, hidden);
    const tallies = [
      { frames: video.frames, by: 'decoded' },
      ...declared,
      ...(packets === null ? [] : [packets]),
    ];
    const less = hidden === 0 ? '' : `, each less ${count(hidden, 'frame')} the edit list hides`;
    const said = `${tallies.map(({ frames, by }) => `${frames} ${by}`).join(', ')}${less}`;
    if (tallies.some(({ frames }) => frames !== video.frames)) {
      return missed(expected, `${said}${oddOneOut(tallies)}`, advice);
    }
    if (packets === null) {
      return unmeasured(expected, `${said}; ${reasonFor(measurement, 'packets', 'coding')}`, advice);
    }
    if (declared.length === 0) {
      return unmeasured(
        expected,
        `${said}; the container declares no count`,
        'Hold the count against the original instead.',
      );
    }
    return hold(true, expected, said, advice);
  });
};

/** Names the one count that stands alone, where there is one. */
function oddOneOut(tallies: readonly FrameTally[]): string {
  if (tallies.length < 3) return '';
  const alone = tallies.filter(
    ({ frames }) => tallies.filter((other) => other.frames === frames).length === 1,
  );
  const [only] = alone;
  return alone.length === 1 && only !== undefined ? `: the count ${only.by} stands alone` : '';
}

/** What the container counts: its header, the track's table of samples, in MXF the length of the track in edit units. */
function declaredTallies(measurement: Measurement, video: Video, hidden: number): FrameTally[] {
  const track = pictureTrack(measurement);
  const rate = parseRational(video.frameRate ?? '');
  const tallies: FrameTally[] = [];
  if (video.framesDeclared !== null) tallies.push({ frames: video.framesDeclared - hidden, by: 'declared' });
  if (track === null) return tallies;
  // Of containers whose structure is not read the header's own count is all there is: it would be said twice.
  if (track.edits !== null && track.samples !== null) {
    tallies.push({ frames: track.samples - hidden, by: "in the track's table" });
  }
  // ffprobe's count of MXF frames is that length already.
  const isMxf = video.framesDeclared === null && measurement.container.format.split(',').includes('mxf');
  if (isMxf && track.presentedSeconds !== null && rate !== null) {
    tallies.push({
      frames: Math.round(track.presentedSeconds * toNumber(rate)),
      by: "by the track's length",
    });
  }
  return tallies;
}

/** Null where the packets could not be listed. A field may have a packet of its own (H.264 and MPEG-2 field pictures). */
function packetTally(measurement: Measurement, video: Video, hidden: number): FrameTally | null {
  const packets = measurement.coding?.packets;
  if (packets === undefined) return null;
  const scan = measurement.layers.bitstream?.scan ?? video.scan;
  const isFieldEach = scan !== 'progressive' && packets === 2 * (video.frames + hidden);
  return isFieldEach
    ? { frames: packets / 2 - hidden, by: 'in pairs of packets, one a field' }
    : { frames: packets - hidden, by: 'in packets' };
}

/** Frames of the track's table that its edit list does not present; null where edits leave that open. */
function hiddenFrames(measurement: Measurement, video: Video): number | null {
  const track = pictureTrack(measurement);
  const shown = track?.edits?.filter(({ mediaStartSeconds }) => mediaStartSeconds !== null) ?? [];
  if (track === null || track.samples === null || shown.length === 0) return 0;
  if (shown.some(({ rate }) => rate !== 1)) return null;
  const { mediaSeconds, presentedSeconds } = track;
  const rate = parseRational(video.frameRate ?? '');
  if (mediaSeconds === null || presentedSeconds === null || rate === null) return null;
  const hidden = (mediaSeconds - presentedSeconds) * toNumber(rate);
  if (hidden < CLOCK_ROUNDING) return 0;
  return video.constantRate === true ? Math.round(hidden) : null;
}

function pictureTrack(measurement: Measurement): ContainerTrack | null {
  return measurement.wrapper?.tracks.find(({ kind }) => kind === 'video') ?? null;
}

export const duration: Check<'duration'> = ({ maxFrames }, measurement) => {
  const expected = `the picture as long as its track says, within ${count(maxFrames, 'frame')}`;
  return withVideo(measurement, expected, (video) => {
    const advice = 'Copy or make the file again: its track and its picture differ in length.';
    const rate = parseRational(video.frameRate ?? '');
    if (rate === null) return unmeasured(expected, 'the file states no frame rate', advice);
    const doubt = doubtAbout(measurement, 'wrapper.tracks');
    if (doubt !== null) return unmeasured(expected, doubt, advice);
    const declared = declaredLength(measurement, video);
    if (typeof declared === 'string') return unmeasured(expected, declared, advice);
    const frames = Math.abs(video.durationSeconds - declared.seconds) * toNumber(rate);
    const measured = `${video.durationSeconds.toFixed(3)} s of picture, ${declared.seconds.toFixed(3)} s declared${declared.by}`;
    if (frames > maxFrames + 1e-6) return missed(expected, measured, advice);
    // Of uneven frames nobody knows how long the last one is meant to be shown.
    if (video.constantRate !== true) {
      const reason = doubtAbout(measurement, 'video.constantRate') ?? 'the frames are of uneven length';
      return unmeasured(expected, `${measured}; ${reason}`, advice);
    }
    return hold(true, expected, measured, advice);
  });
};

/**
 * The length of the picture as the container has it. A container without lengths of tracks gives one for all of them: the
 * picture's where nothing lasts longer. In words why it is not known.
 */
function declaredLength(
  measurement: Measurement,
  video: Video,
): { readonly seconds: number; readonly by: string } | string {
  const track = pictureTrack(measurement);
  if (track !== null && track.presentedSeconds !== null) return { seconds: track.presentedSeconds, by: '' };
  const whole = measurement.container.durationSeconds;
  // Matroska's Duration is a field of its header (RFC 9559); what ffprobe gives of streams without header is its own estimate.
  if (track === null || whole === null || !/matroska|webm/.test(measurement.container.format)) {
    return 'the container states no length of the picture';
  }
  const end = (track.startSeconds ?? 0) + video.durationSeconds;
  const soundEnds = measurement.audio.map(
    ({ durationSeconds, startSeconds }) => (track.startSeconds ?? 0) + (startSeconds ?? 0) + durationSeconds,
  );
  const others = measurement.wrapper?.tracks.some(({ kind }) => kind === 'timecode' || kind === 'other');
  if (others || soundEnds.some((soundEnd) => soundEnd > end)) {
    return 'the container states one length for all its tracks, and another one lasts longer';
  }
  return { seconds: whole - (track.startSeconds ?? 0), by: ' for all tracks' };
}
