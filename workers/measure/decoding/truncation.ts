import type { ClipFacts } from '../../../jobs/manifest/facts.js';
import { count, grouped } from '../../../jobs/words/numbers.js';
import { quantity } from '../../../jobs/words/quantities.js';
import { parseRational } from '../../../signal/rational.js';
import type { ContainerEnd } from '../container/container-end.js';

/** What came out of a file, to be held against what it promised. */
export interface Delivered {
  readonly frames: number;
  readonly videoSeconds: number;
  /** Time stamp of the first picture, s: durations of containers without a sample table count from zero. 0 when unknown. */
  readonly videoStart: number;
  /** Seconds of each audio stream, in the order of the facts; null where it could not be counted. */
  readonly audioSeconds: readonly (number | null)[];
  readonly containerEnd: ContainerEnd;
  readonly logSaysEarlyEnd: boolean;
}

/** Containers whose durations are guessed from the last time stamp found, which promises nothing. */
const GUESSED_DURATION = /mpegts|mpeg|h264|hevc|m4v|aac|mp3|ac3|image2|rawvideo/;
/** Encoders of sound pad and trim the ends by a few packets of 20 to 50 ms. */
const AUDIO_TOLERANCE_SECONDS = 0.1;
/** The duration of a whole container is that of its longest stream, counted from an origin of its own. */
const CONTAINER_TOLERANCE_SECONDS = 0.5;

/** Why a file is taken to end early, each in one sentence; none when it delivers what it promised. */
export function truncationReasons(facts: ClipFacts, delivered: Delivered): string[] {
  const reasons: string[] = [];
  if (delivered.containerEnd === 'cut') reasons.push('the container goes on past the end of the file');
  if (delivered.logSaysEarlyEnd) reasons.push('the file ends before its data do');

  const { video } = facts;
  if (video && delivered.frames === 0) reasons.push('not one frame came out');
  if (video?.framesFrom === 'container' && video.frames !== null && delivered.frames < video.frames) {
    const missing = video.frames - delivered.frames;
    if (!isTrimmed(facts, delivered) && !repeatsByNothing(facts, delivered)) {
      reasons.push(
        `${grouped(delivered.frames)} of ${count(video.frames, 'frame')} came out, ${grouped(missing)} are missing`,
      );
    }
  }
  if (GUESSED_DURATION.test(facts.container.format)) return reasons;

  // The probe gives a stream without a duration of its own that of the whole container, which its sound may fill alone.
  const isOwn = video !== null && video.durationSeconds !== facts.container.durationSeconds;
  if (video?.durationSeconds != null && isOwn && video.framesFrom !== 'container') {
    const frame = frameSeconds(facts);
    if (pictureEnd(delivered, video.durationSeconds) + 1.5 * frame < video.durationSeconds) {
      reasons.push(
        `${quantity(delivered.videoSeconds, 's')} of ${quantity(video.durationSeconds, 's')} of picture came out`,
      );
    }
  }
  facts.audio.forEach((stream, index) => {
    const got = delivered.audioSeconds[index];
    if (got == null || stream.durationSeconds === null) return;
    if (got + AUDIO_TOLERANCE_SECONDS < stream.durationSeconds) {
      reasons.push(
        `${quantity(got, 's')} of ${quantity(stream.durationSeconds, 's')} of sound came out (stream ${stream.stream})`,
      );
    }
  });
  const { durationSeconds } = facts.container;
  // Without a rate nobody knows how long the last picture stays.
  if (video !== null && video.frameRate === null && delivered.frames > 0) return reasons;
  const longest = Math.max(
    pictureEnd(delivered, durationSeconds ?? 0),
    ...delivered.audioSeconds.map((value) => value ?? 0),
  );
  const tolerance = Math.min(CONTAINER_TOLERANCE_SECONDS, (durationSeconds ?? 0) / 4);
  if (durationSeconds !== null && longest + tolerance < durationSeconds) {
    reasons.push(`${quantity(longest, 's')} of ${quantity(durationSeconds, 's')} came out`);
  }
  return reasons;
}

/**
 * An edit list may leave out frames that the sample table counts (a clip cut without re-encoding keeps the frames before
 * the cut, to decode from). Then the stream's own duration is the promise.
 */
function isTrimmed(facts: ClipFacts, delivered: Delivered): boolean {
  const { video } = facts;
  const hasEditLists = facts.container.format.split(',').includes('mov');
  if (!hasEditLists || video?.durationSeconds == null || video.frames === null) return false;
  const frame = frameSeconds(facts);
  const promised = Math.round(video.durationSeconds / frame);
  return promised < video.frames && delivered.frames >= promised;
}

/**
 * Frames that only repeat the one before need not be there: AVI has empty chunks for them and counts these, Ogg empty packets, and
 * its count is a duration. Whole is what reaches the end in time; one or two empty chunks at the ends of an AVI are usual.
 */
function repeatsByNothing(facts: ClipFacts, delivered: Delivered): boolean {
  const { format } = facts.container;
  const declared = facts.video?.frames ?? 0;
  if (delivered.containerEnd === 'cut' || (format !== 'avi' && format !== 'ogg')) return false;
  const frame = frameSeconds(facts);
  const reachesEnd = pictureEnd(delivered, declared * frame) + 1.5 * frame > declared * frame;
  return reachesEnd || (format === 'avi' && declared - delivered.frames <= 2);
}

/** A part of a live stream may begin hours from zero: what begins after the whole duration does not count from there. */
function pictureEnd({ videoStart, videoSeconds }: Delivered, durationSeconds: number): number {
  return videoSeconds + (videoStart < durationSeconds ? videoStart : 0);
}

function frameSeconds(facts: ClipFacts): number {
  const rate = facts.video?.frameRate == null ? null : parseRational(facts.video.frameRate);
  return rate && rate.num > 0 ? rate.den / rate.num : 1 / 25;
}
