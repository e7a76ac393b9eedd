import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { count } from '../../../jobs/words/numbers.js';
import { parseRational, toNumber } from '../../../signal/rational.js';
import { reasonFor } from '../doubt.js';
import { onPicture, type Video } from '../on-picture.js';
import { pictureTrack } from '../picture-track.js';
import { defineRequirement } from '../requirement.js';
import { met, missed, unmeasured } from '../ruling.js';

/** A number of frames and who gives it, in words that follow the number. */
interface FrameTally {
  readonly frames: number;
  readonly by: string;
}

/** Less than this share of a frame is the rounding of a container's clock. */
const CLOCK_ROUNDING = 0.5;

export const requirement = defineRequirement('frame-count', {
  title: 'Frame count',
  why: 'Where header, packets and picture count differently, frames were lost or added on the way.',
  expected: 'as many frames decoded as packets hold and the container counts',
  advice: 'Copy or make the file again: frames are missing or too many.',
  rule: onPicture((_, video, measurement) => {
    if (video.frames === 0) return missed('not one frame decoded', { advice: 'Make the file again.' });
    const hidden = hiddenFrames(measurement, video);
    if (hidden === null) {
      const reason =
        'an edit list hides frames, holds them or changes their speed, and how many cannot be told';
      return unmeasured(reason, 'Flatten the edit list: wrap the programme again without it.');
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
    if (tallies.some(({ frames }) => frames !== video.frames)) return missed(`${said}${oddOneOut(tallies)}`);
    if (packets === null) return unmeasured(`${said}; ${reasonFor(measurement, 'packets', 'coding')}`);
    if (declared.length === 0) {
      const reason = `${said}; the container declares no count`;
      return unmeasured(reason, 'Hold the count against the original instead.');
    }
    return met(said);
  }),
});

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
