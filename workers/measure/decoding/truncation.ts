import type { ClipFacts } from '../../../jobs/manifest/facts.js';
import { count, grouped } from '../../../jobs/words/numbers.js';
import { quantity } from '../../../jobs/words/quantities.js';
import { parseRational } from '../../../signal/rational.js';
import type { ContainerEnd } from '../container/container-end.js';

/** What was decoded of a file, to compare with what it declares. */
export interface Delivered {
  readonly frames: number;
  readonly videoSeconds: number;
  /**
   * Time stamp of the first picture, s: durations of containers without a sample table count from zero. 0
   * when unknown.
   */
  readonly videoStart: number;
  /** Seconds of each audio stream, in the order of the facts; null where it could not be counted. */
  readonly audioSeconds: readonly (number | null)[];
  readonly containerEnd: ContainerEnd;
  readonly logSaysEarlyEnd: boolean;
  /** Frames that an edit begins within: each may be decoded or not. */
  readonly partly: number;
}

/** How a file ends. */
export interface FileEnd {
  /** Why it ends early, each in one sentence; empty when it delivers what it declares. */
  readonly reasons: readonly string[];
  /** Whether the file declares its length or its end. */
  readonly isStated: boolean;
}

/**
 * Containers whose durations ffprobe estimates from the last time stamp or the size of the file.
 */
const GUESSED_DURATION = /mpegts|mpeg|h264|hevc|m4v|aac|mp3|ac3|image2|rawvideo|^(?:flv|dv|dts|obu|ivf|vc1)$/;
/** Containers whose header counts samples, frames or seconds. */
const STATES_DURATION = /^(?:flac|tta|wv|ape|aiff|caf|w64|asf|gxf|nut|mxf|matroska|avi|ivf|rm)/;
/** Encoders of sound pad and trim the ends by a few packets of 20 to 50 ms. */
const AUDIO_TOLERANCE_SECONDS = 0.1;
/** The duration of a container is that of its longest stream, from an origin of its own. */
const CONTAINER_TOLERANCE_SECONDS = 0.5;

/**
 * Compares what was decoded with what the file declares, for each stream separately: one may be longer than
 * the others. Pure.
 */
export function endOf(facts: ClipFacts, delivered: Delivered): FileEnd {
  const reasons: string[] = [];
  const { containerEnd } = delivered;
  if (containerEnd === 'cut') reasons.push('the container extends past the end of the file');
  if (delivered.logSaysEarlyEnd) reasons.push('the file ends before its data end');
  const { video } = facts;
  if (video && delivered.frames === 0) reasons.push('no frame was decoded');
  const isCounted = video?.framesFrom === 'container' && video.frames !== null;
  reasons.push(...missingFrames(facts, delivered));
  const isGuessed = durationIsGuessed(facts, containerEnd);
  if (!isGuessed) reasons.push(...missingSeconds(facts, delivered));
  const isTimed = facts.container.durationSeconds !== null && STATES_DURATION.test(facts.container.format);
  return { reasons, isStated: containerEnd !== 'unsaid' || isCounted || (!isGuessed && isTimed) };
}

/**
 * In a fragmented file (MP4) the index declares nothing about later fragments: durations are those of the
 * fragments that exist.
 */
function durationIsGuessed({ container: { format } }: ClipFacts, end: ContainerEnd): boolean {
  return GUESSED_DURATION.test(format) || (end === 'unsaid' && format.split(',').includes('mov'));
}

function missingFrames(facts: ClipFacts, delivered: Delivered): string[] {
  const { video } = facts;
  if (video?.framesFrom !== 'container' || video.frames === null) return [];
  const missing = video.frames - delivered.frames;
  if (missing <= delivered.partly || repeatsByNothing(facts, delivered)) return [];
  return [
    `${grouped(delivered.frames)} of ${count(video.frames, 'frame')} decoded, ${grouped(missing)} are missing`,
  ];
}

function missingSeconds(facts: ClipFacts, delivered: Delivered): string[] {
  const reasons: string[] = [];
  const { video } = facts;
  // The probe gives a stream without a duration of its own that of the whole container, which its sound may
  // fill alone.
  const isOwn = video !== null && video.durationSeconds !== facts.container.durationSeconds;
  // Where frames are counted they are the promise: a last one may be meant to stay.
  if (video?.durationSeconds != null && isOwn && video.framesFrom !== 'container') {
    const frame = frameSeconds(facts);
    if (pictureEnd(delivered, video.durationSeconds) + 1.5 * frame < video.durationSeconds) {
      reasons.push(
        `${quantity(delivered.videoSeconds, 's')} of ${quantity(video.durationSeconds, 's')} of picture decoded`,
      );
    }
  }
  facts.audio.forEach((stream, index) => {
    const got = delivered.audioSeconds[index];
    if (got == null || stream.durationSeconds === null) return;
    if (got + AUDIO_TOLERANCE_SECONDS < stream.durationSeconds) {
      reasons.push(
        `${quantity(got, 's')} of ${quantity(stream.durationSeconds, 's')} of sound decoded (stream ${stream.stream})`,
      );
    }
  });
  return [...reasons, ...shortOfContainer(facts, delivered)];
}

/**
 * The duration of the container applies to picture and sound only where they have none of their own and there
 * is nothing else in it.
 */
function shortOfContainer(facts: ClipFacts, delivered: Delivered): string[] {
  const { video, audio, otherStreams } = facts;
  const { durationSeconds } = facts.container;
  if (durationSeconds === null || otherStreams.length > 0) return [];
  if (video !== null ? video.framesFrom === 'container' : audio.some((one) => one.durationSeconds !== null)) {
    return [];
  }
  // Without a rate the duration of the last frame is not known.
  if (video !== null && video.frameRate === null && delivered.frames > 0) return [];
  const longest = Math.max(
    pictureEnd(delivered, durationSeconds),
    ...delivered.audioSeconds.map((value) => value ?? 0),
  );
  const tolerance = Math.min(CONTAINER_TOLERANCE_SECONDS, durationSeconds / 4);
  return longest + tolerance < durationSeconds
    ? [`${quantity(longest, 's')} of ${quantity(durationSeconds, 's')} decoded`]
    : [];
}

/**
 * Frames that only repeat the previous one may have no data: AVI has empty chunks for them and counts these;
 * Ogg has empty packets, and its count is a duration. Such a file is complete when it reaches the end in
 * time; one or two empty chunks at the ends of an AVI are usual. The end is that of the duration it declares:
 * the rate of a still that changes twice is that of the changes.
 */
function repeatsByNothing(facts: ClipFacts, delivered: Delivered): boolean {
  const { format } = facts.container;
  const declared = facts.video?.frames ?? 0;
  if (delivered.containerEnd === 'cut' || (format !== 'avi' && format !== 'ogg')) return false;
  const seconds = facts.video?.durationSeconds ?? declared * frameSeconds(facts);
  const reachesEnd = pictureEnd(delivered, seconds) + (1.5 * seconds) / declared > seconds;
  return reachesEnd || (format === 'avi' && declared - delivered.frames <= 2);
}

/**
 * A part of a live stream may start hours after zero: if it starts after the whole duration, the duration is
 * not counted from zero.
 */
function pictureEnd({ videoStart, videoSeconds }: Delivered, durationSeconds: number): number {
  return videoSeconds + (videoStart < durationSeconds ? videoStart : 0);
}

function frameSeconds(facts: ClipFacts): number {
  const rate = facts.video?.frameRate == null ? null : parseRational(facts.video.frameRate);
  return rate && rate.num > 0 ? rate.den / rate.num : 1 / 25;
}
