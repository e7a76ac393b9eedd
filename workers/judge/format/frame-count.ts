import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { count } from '../../../jobs/words/numbers.js';
import { parseRational, toNumber } from '../../../signal/rational.js';
import { reasonFor } from '../doubt.js';
import { onPicture, type Video } from '../on-picture.js';
import { pictureTrack } from '../picture-track.js';
import { defineRequirement } from '../requirement.js';
import { met, missed, unmeasured } from '../ruling.js';

/** A number of frames and where it comes from, in words that follow the number. */
interface FrameTally {
  readonly frames: number;
  readonly by: string;
}

export const requirement = defineRequirement('frame-count', {
  title: 'Frame count',
  why: 'Where header, packets and decoded frames differ in number, frames were lost or added.',
  expected: ({ is }) =>
    `the same number of frames decoded, in packets and in the container${is === undefined ? '' : `: ${is}`}`,
  advice: 'Copy or make the file again: frames are missing or too many.',
  rule: onPicture(({ is }, video, measurement) => {
    if (video.frames === 0) return missed('no frame decoded', { advice: 'Make the file again.' });
    const hidden = hiddenSamples(measurement);
    if (hidden === null) {
      const reason =
        'an edit list repeats frames or changes their speed, so the number of frames shown is not known';
      return unmeasured(reason, 'Wrap the programme again without an edit list.');
    }
    const declared = declaredTallies(measurement, video);
    const packets = packetTally(measurement, video, hidden);
    const tallies = [
      { frames: video.frames, by: 'decoded' },
      ...declared,
      ...(packets === null ? [] : [packets]),
    ];
    const less = hidden === 0 ? '' : `, without ${count(hidden, 'sample')} hidden by the edit list`;
    const counts = `${tallies.map(({ frames, by }) => `${frames} ${by}`).join(', ')}${less}`;
    const off = Math.max(...tallies.map(({ frames }) => Math.abs(frames - video.frames)));
    if (off > 0 && off <= (pictureTrack(measurement)?.partlyPresented ?? 0)) {
      const reason = `${counts}; an edit begins within a frame, which may be shown or not`;
      return unmeasured(reason, 'Wrap the programme again with edits that begin at a frame.');
    }
    if (off > 0) return missed(`${counts}${oddOneOut(tallies)}`);
    if (is !== undefined && video.frames !== is) return missed(counts);
    if (packets === null) return unmeasured(`${counts}; ${reasonFor(measurement, 'packets', 'coding')}`);
    if (declared.length === 0 && is === undefined) {
      const reason = `${counts}; the container declares no count`;
      return unmeasured(reason, 'Set the number in the target (`is`), or compare with the original.');
    }
    return met(counts);
  }),
});

/** Names the one count that differs from the others, where there is one. */
function oddOneOut(tallies: readonly FrameTally[]): string {
  if (tallies.length < 3) return '';
  const alone = tallies.filter(
    ({ frames }) => tallies.filter((other) => other.frames === frames).length === 1,
  );
  const [only] = alone;
  return alone.length === 1 && only !== undefined ? `: the count ${only.by} differs from the others` : '';
}

/**
 * The counts of the container: its header, the sample table of the track, in MXF the length of the track in
 * edit units.
 */
function declaredTallies(measurement: Measurement, video: Video): FrameTally[] {
  const track = pictureTrack(measurement);
  const rate = parseRational(video.frameRate ?? '');
  const tallies: FrameTally[] = [];
  if (video.framesDeclared !== null) tallies.push({ frames: video.framesDeclared, by: 'declared' });
  if (track === null) return tallies;
  // Where the structure of the container is not read, this would only repeat the count of the header.
  if (track.edits !== null && track.presentedSamples !== null) {
    tallies.push(inPictures(measurement, video, track.presentedSamples, "in the track's table"));
  }
  // Where ffprobe gives a number of frames for MXF, it is that length already.
  const isMxf = video.framesDeclared === null && measurement.container.format.split(',').includes('mxf');
  if (isMxf && track.presentedSeconds !== null && rate !== null) {
    tallies.push({
      frames: Math.round(track.presentedSeconds * toNumber(rate)),
      by: "by the track's length",
    });
  }
  return tallies;
}

/** Null where the packets could not be listed. */
function packetTally(measurement: Measurement, video: Video, hidden: number): FrameTally | null {
  const packets = measurement.coding?.packets;
  return packets === undefined ? null : inPictures(measurement, video, packets - hidden, 'in packets');
}

/** A field may have a packet of its own (H.264 and MPEG-2 field pictures). */
function inPictures(measurement: Measurement, video: Video, packets: number, by: string): FrameTally {
  const scan = measurement.layers.bitstream?.scan ?? video.scan;
  return scan !== 'progressive' && packets === 2 * video.frames
    ? { frames: packets / 2, by: `${by}, two per frame` }
    : { frames: packets, by };
}

/** Samples of the picture track that its edit list does not present; null where that is not known. */
function hiddenSamples(measurement: Measurement): number | null {
  const track = pictureTrack(measurement);
  if (track === null || track.samples === null || (track.edits ?? []).length === 0) return 0;
  return track.presentedSamples === null ? null : Math.max(0, track.samples - track.presentedSamples);
}
