import { FLASH_STANDARD } from '../../../jobs/measurement/measured-flashes.js';
import type { MeasuredFigures } from '../../../jobs/measurement/measurement.js';
import { formatRational, parseRational } from '../../../signal/rational.js';
import type { Packets } from '../../probe/packets.js';
import { faultyFrames } from '../../sequence/faulty-frames.js';
import { containerFigures } from '../container/container-figures.js';
import { readTimeline } from '../decoding/timeline.js';
import { endOf } from '../decoding/truncation.js';
import { pictureFigures } from '../picture/figures/picture-figures.js';
import { soundFigures } from '../sound/sound-figures.js';
import { frameClock } from './frame-ranges.js';
import type { Gathered } from './gathered.js';

export const STANDARDS = [
  'ITU-R BS.1770-5',
  'EBU R 128 v5',
  'EBU Tech 3341 v4',
  'EBU Tech 3342 v4',
  'EBU R 103 v3.0',
  'CTA-861.3 (MaxCLL, MaxFALL)',
  'ITU-R BT.2100-3',
  'SMPTE ST 2084:2014',
  FLASH_STANDARD,
] as const;

/** Turns the gathered data into figures. Pure. */
export function assembleFigures(gathered: Gathered): MeasuredFigures {
  const { facts, frameLog, damage, result } = gathered;
  const { video } = facts;
  const stated = video?.frameRate == null ? null : parseRational(video.frameRate);
  const { lastSeconds } = gathered.container.packets ?? {};
  // The time stamps of a sequence only count its frames, at a rate that it was read with.
  const stamps = facts.sequence !== undefined && stated === null ? null : frameLog.timestamps;
  const timeline = readTimeline(frameLog.frames, stamps, stated, lastSeconds ?? null);
  const { rate } = timeline;
  const clock = frameClock(facts.container.startTimecode, rate === null ? null : formatRational(rate));
  const picture = pictureFigures(gathered, clock);
  const sound = soundFigures({
    streams: facts.audio,
    answer: gathered.soundAnswer,
    log: gathered.soundLog,
    codedLoudness: gathered.container.codedLoudness,
    clock,
    frameRate: rate,
    picture: frameLog.timestamps,
  });

  const errors = [...damage.messages];
  let errorCount = damage.errors;
  const fault = (message: string, times = 1): void => {
    errorCount += times;
    errors.push(message);
  };
  if (result.killedBy !== null) fault(`ffmpeg was ended early (${result.killedBy})`);
  else if (result.exitCode !== 0) fault(`ffmpeg ended with exit code ${result.exitCode ?? 'none'}`);
  if (picture.leftover > 0) fault(`the last frame ends after ${picture.leftover} bytes`);

  // Index and footer are where they are declared: the guess of a demuxer that they are not is about its own
  // reading.
  if (gathered.end !== 'whole') for (const guess of damage.guesses) fault(guess);
  const { reasons, isStated } = endOf(facts, {
    frames: frameLog.frames,
    videoSeconds: timeline.durationSeconds,
    videoStart: startOf(gathered.container.packets),
    audioSeconds: sound.audio.map((stream) => (stream.samples > 0 ? stream.durationSeconds : 0)),
    containerEnd: gathered.end,
    logSaysEarlyEnd: damage.endsEarly || (gathered.end !== 'whole' && damage.guesses.length > 0),
    partly: gathered.container.wrapper?.tracks.find(({ kind }) => kind === 'video')?.partlyPresented ?? 0,
  });
  const events = [...picture.events, ...sound.events];
  for (const { kind, frame, detail } of timeline.gaps) {
    events.push({ kind, ...clock.range(frame, frame + 1), detail });
  }
  frameLog.aspects.changes.forEach(({ frame, before, after }, index, changes) => {
    const range = clock.range(frame, changes[index + 1]?.frame ?? frameLog.frames);
    events.push({
      kind: 'aspect-change',
      ...range,
      detail: `sample aspect ${before} before, ${after} from here`,
    });
  });
  for (const { why, numbers, from, to } of faultyFrames(facts.sequence)) {
    fault(numbers === '' ? why : `frame ${numbers}: ${why}`, Math.max(1, to - from));
    if (to > from) events.push({ kind: 'bad-frame', ...clock.range(from, to), detail: `${why}: ${numbers}` });
  }
  if (reasons.length > 0) {
    const to = Math.max(video?.frames ?? 0, frameLog.frames + 1);
    events.push({ kind: 'truncated', ...clock.range(frameLog.frames, to), detail: reasons.join('; ') });
  }
  const { unmeasured: unreadLayers, ...container } = containerFigures(facts, gathered.container, frameLog);
  const unmeasured = [...picture.unmeasured, ...sound.unmeasured, ...unreadLayers];
  if (video && timeline.constantRate === null) {
    unmeasured.push({
      what: 'video.constantRate',
      why: 'not every frame has a time stamp, or the rate is unknown',
    });
  }

  const { timeReference: _, slate, ...measuredContainer } = facts.container;
  return {
    container: { ...measuredContainer, slate: slate ?? null },
    video: video && {
      codec: video.codec,
      profile: video.profile,
      width: video.width,
      height: video.height,
      sampleAspect: video.sampleAspect,
      frameRate: rate === null ? null : formatRational(rate),
      constantRate: timeline.constantRate,
      scan: video.scan,
      frames: frameLog.frames,
      framesDeclared: video.framesFrom === 'container' ? video.frames : null,
      durationSeconds: timeline.durationSeconds,
      pixelFormat: video.pixelFormat,
      bitDepth: picture.bitDepth,
      chroma: { ...picture.chroma, declared: video.chroma },
      colour: video.colour,
      colourByLayer: video.colourByLayer,
      rotation: video.rotation,
      mirrored: video.mirrored,
      dynamicHdr: video.dynamicHdr,
      iccProfile: video.iccProfile,
      captions: video.captions,
    },
    levels: picture.levels,
    luminance: picture.luminance,
    ...picture.studied,
    effective: picture.effective,
    // Another file has to be looked at for it (compare-measured.ts, compare-order.ts, compare-all-sound.ts).
    comparison: null,
    frameOrder: null,
    soundComparison: null,
    hdr: {
      mastering: facts.video?.hdr.mastering ?? frameLog.hdr.mastering,
      lightLevel: facts.video?.hdr.lightLevel ?? frameLog.hdr.lightLevel,
    },
    ...container,
    histograms: picture.histograms,
    curves: { picture: picture.curves, sound: sound.curves },
    exposure: picture.exposure,
    audio: sound.audio,
    otherStreams: facts.otherStreams,
    events,
    decode: { errors: errorCount, messages: errors, truncated: reasons.length > 0, endStated: isStated },
    unmeasured,
    method: { ...gathered.method, standards: [...STANDARDS] },
  };
}

/** First time stamp of the packets, s; 0 when none has one or it lies before zero. */
function startOf(packets: Packets | null): number {
  if (packets === null) return 0;
  let first = Number.POSITIVE_INFINITY;
  for (const time of packets.presentationTimes) if (time < first) first = time;
  return Number.isFinite(first) ? Math.max(0, (first * packets.timeBase.num) / packets.timeBase.den) : 0;
}
