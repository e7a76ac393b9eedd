import type { ClipFacts } from '../../jobs/facts.js';
import type { AudioMeasurement, Measurement } from '../../jobs/measurement.js';
import { formatRational, parseRational } from '../../signal/rational.js';
import type { FfmpegResult } from '../ffmpeg/command.js';
import type { ContainerEnd } from './container-end.js';
import type { DamageLog } from './damage.js';
import type { FrameLog } from './frame-log.js';
import { frameClock } from './frame-ranges.js';
import type { TapOptions } from './open-tap.js';
import { type PictureAnswer, pictureFigures } from './picture/picture-figures.js';
import type { SoundOutcome } from './sound-thread.js';
import { readTimeline } from './timeline.js';
import { truncationReasons } from './truncation.js';

/** Everything that has come in when ffmpeg has ended. */
export interface Gathered extends TapOptions {
  readonly result: FfmpegResult;
  readonly frameLog: FrameLog;
  readonly damage: DamageLog;
  readonly end: ContainerEnd;
  readonly pictureAnswer: PictureAnswer | null;
  readonly soundAnswer:
    | { readonly kind: 'done'; readonly outcomes: readonly SoundOutcome['outcome'][] }
    | { readonly kind: 'died'; readonly why: string }
    | null;
}

export const STANDARDS = [
  'ITU-R BS.1770-5',
  'EBU R 128 v5',
  'EBU Tech 3341 v4',
  'EBU Tech 3342 v4',
  'EBU R 103 v3.0',
  'CTA-861.3 (MaxCLL, MaxFALL)',
  'ITU-R BT.2100-3',
  'SMPTE ST 2084:2014',
] as const;

/** Turns what was gathered into the measurement. Pure. */
export function assembleMeasurement(gathered: Gathered): Measurement {
  const { facts, frameLog, damage, result } = gathered;
  const { video } = facts;
  const clock = frameClock(facts.container.startTimecode, video?.frameRate ?? null);
  const rate = video?.frameRate == null ? null : parseRational(video.frameRate);
  const timeline = readTimeline(frameLog.frames, frameLog.timestamps, rate);
  const picture = pictureFigures(gathered, clock);
  const sound = soundFigures(facts, gathered.soundAnswer);

  const errors = [...damage.messages];
  let errorCount = damage.errors;
  const fault = (message: string): void => {
    errorCount++;
    errors.push(message);
  };
  if (result.killedBy !== null) fault(`ffmpeg was ended early (${result.killedBy})`);
  else if (result.exitCode !== 0) fault(`ffmpeg ended with exit code ${result.exitCode ?? 'none'}`);
  if (picture.leftover > 0) fault(`the last picture broke off after ${picture.leftover} bytes`);

  const reasons = truncationReasons(facts, {
    frames: frameLog.frames,
    videoSeconds: timeline.durationSeconds,
    audioSeconds: sound.audio.map((stream) => (stream.samples > 0 ? stream.durationSeconds : 0)),
    containerEnd: gathered.end,
    logSaysEarlyEnd: damage.endsEarly,
  });
  const events = [...picture.events];
  for (const { frame, detail } of timeline.gaps) {
    events.push({ kind: 'timestamp-gap', ...clock.range(frame, frame + 1), detail });
  }
  if (reasons.length > 0) {
    const to = Math.max(video?.frames ?? 0, frameLog.frames + 1);
    events.push({ kind: 'truncated', ...clock.range(frameLog.frames, to), detail: reasons.join('; ') });
  }
  const unmeasured = [...picture.unmeasured, ...sound.unmeasured];
  if (video && timeline.constantRate === null) {
    unmeasured.push({
      what: 'video.constantRate',
      why: 'not every frame has a time stamp, or the rate is unknown',
    });
  }

  return {
    schema: 'goodgate/measurement@1',
    file: { path: gathered.path, bytes: facts.bytes },
    container: { ...facts.container },
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
      chroma: { declared: video.chroma, effective: null, confidence: 'low' },
      colour: video.colour,
      colourByLayer: video.colourByLayer,
      rotation: video.rotation,
    },
    levels: picture.levels,
    luminance: picture.luminance,
    hdr: {
      mastering: facts.video?.hdr.mastering ?? frameLog.hdr.mastering,
      lightLevel: facts.video?.hdr.lightLevel ?? frameLog.hdr.lightLevel,
    },
    histograms: picture.histograms,
    curves: { picture: picture.curves, sound: [] },
    exposure: picture.exposure,
    audio: sound.audio,
    events,
    decode: { errors: errorCount, messages: errors, truncated: reasons.length > 0 },
    unmeasured,
    method: { ...gathered.method, standards: [...STANDARDS] },
  };
}

function soundFigures(
  facts: ClipFacts,
  answer: Gathered['soundAnswer'],
): { readonly audio: AudioMeasurement[]; readonly unmeasured: Measurement['unmeasured'] } {
  const unmeasured: Measurement['unmeasured'] = [];
  const audio = facts.audio.map((stream, index): AudioMeasurement => {
    const outcome = answer?.kind === 'done' ? answer.outcomes[index] : undefined;
    const described = {
      stream: stream.stream,
      codec: stream.codec,
      channels: stream.channels,
      layout: stream.layout,
      sampleRate: stream.sampleRate,
      bitDepth: stream.bitDepth,
    };
    const silent = {
      integratedLufs: null,
      loudnessRange: null,
      maxMomentaryLufs: null,
      maxShortTermLufs: null,
      truePeakDbtp: null,
      samplePeakDbfs: null,
    };
    if (outcome?.kind !== 'done') {
      const why = outcome?.why ?? (answer?.kind === 'died' ? answer.why : 'the sound was not measured');
      unmeasured.push({ what: `audio[${index}]`, why });
      return { ...described, samples: 0, durationSeconds: 0, ...silent };
    }
    const { figures } = outcome;
    const counted = { samples: figures.samples, durationSeconds: figures.samples / stream.sampleRate };
    if (figures.invalidSamples > 0) {
      const why = `${figures.invalidSamples} samples are no numbers or infinite`;
      unmeasured.push({ what: `audio[${index}]`, why });
      return { ...described, ...counted, ...silent };
    }
    if (figures.weighting === 'assumed') {
      const why = `which channel is which is unknown (${stream.channels} channels without a layout)`;
      unmeasured.push({ what: `audio[${index}].integratedLufs`, why });
    }
    return {
      ...described,
      ...counted,
      integratedLufs: figures.integratedLufs,
      loudnessRange: figures.loudnessRange,
      maxMomentaryLufs: figures.maxMomentaryLufs,
      maxShortTermLufs: figures.maxShortTermLufs,
      truePeakDbtp: figures.truePeakDbtp,
      samplePeakDbfs: figures.samplePeakDbfs,
    };
  });
  return { audio, unmeasured };
}
