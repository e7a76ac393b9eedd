import type { ContainerTrack, Layer } from '../../../jobs/measurement/measured-container.js';
import type { AudioMeasurement, Measurement } from '../../../jobs/measurement/measurement.js';
import { measurement } from '../../../jobs/measurement/measurement.js';
import { NO_SECTIONS } from '../../../workers/measure/picture/recording/studies.js';
import { CONTENT } from './measured-sound.js';

/** A stereo stream at the EBU R 128 target. */
export const SOUND: AudioMeasurement = {
  stream: 1,
  codec: 'pcm_s24le',
  channels: 2,
  layout: 'stereo',
  sampleRate: 48_000,
  bitDepth: 24,
  samples: 480_000,
  durationSeconds: 10,
  integratedLufs: -23,
  loudnessRange: 5,
  maxMomentaryLufs: -20,
  maxShortTermLufs: -21,
  truePeakDbtp: -3,
  samplePeakDbfs: -3.2,
  startSeconds: 0,
  codedLoudness: null,
  content: CONTENT,
};

/** P3-D65 as EBU, ISO/IEC 23008-2 and published-values.md E write it. */
const MASTERING: NonNullable<Measurement['hdr']['mastering']> = {
  red: [0.68, 0.32],
  green: [0.265, 0.69],
  blue: [0.15, 0.06],
  white: [0.3127, 0.329],
  minLuminance: 0.005,
  maxLuminance: 1000,
};

/** A layer that speaks of everything, as the file of `measured` has it in both. */
export const LAYER: Layer = {
  colour: { primaries: 'bt2020', transfer: 'smpte2084', matrix: 'bt2020nc', range: 'narrow' },
  raster: { width: 1920, height: 1080 },
  frameRate: { rate: '25/1', fixed: true },
  sampleAspect: '1/1',
  scan: 'progressive',
  cleanAperture: null,
  mastering: MASTERING,
  lightLevel: { maxCll: 1000, maxFall: 180 },
  profile: 'High 4:2:2 Intra',
  level: '4.1',
  samples: null,
  chromaSiting: 'left',
};

/** A track of picture or sound that begins at once and is presented whole. */
export const TRACK: ContainerTrack = {
  kind: 'video',
  codec: 'apch',
  samples: 250,
  presentedSamples: 250,
  partlyPresented: 0,
  mediaSeconds: 10,
  presentedSeconds: 10,
  startSeconds: 0,
  edits: [{ seconds: 10, mediaStartSeconds: 0, rate: 1 }],
};

/** What can be changed in a measurement: everything, and freely. */
export type Change = (m: DeepMutable<Measurement>) => void;
type DeepMutable<T> = { -readonly [K in keyof T]: DeepMutable<T[K]> };

/**
 * The measurement of a faultless HD PQ file of 10 s at 25 frames/s from 10:00:00:00, with changes made to it.
 */
export function measured(...changes: readonly Change[]): Measurement {
  const m: DeepMutable<Measurement> = {
    schema: 'goodgate/measurement@1',
    key: null,
    file: {
      path: '/m/master.mov',
      bytes: 1,
      modified: '2026-11-25T12:00:00.000Z',
      changed: null,
      digest: '0'.repeat(64),
      hash: null,
    },
    container: {
      format: 'mov,mp4,m4a,3gp,3g2,mj2',
      durationSeconds: 10,
      startTimecode: '10:00:00:00',
      reel: null,
      slate: null,
      chapters: 0,
      tags: {},
    },
    video: {
      codec: 'prores',
      profile: 'HQ',
      width: 1920,
      height: 1080,
      sampleAspect: '1/1',
      frameRate: '25/1',
      constantRate: true,
      scan: 'progressive',
      frames: 250,
      framesDeclared: 250,
      durationSeconds: 10,
      pixelFormat: 'yuv422p10le',
      bitDepth: { declared: 10, effective: 10, confidence: 'high' },
      chroma: { declared: '4:2:2', effective: '4:2:2', confidence: 'high' },
      colour: { primaries: 'bt2020', transfer: 'smpte2084', matrix: 'bt2020nc', range: 'narrow' },
      colourByLayer: {
        container: { primaries: 'bt2020', transfer: 'smpte2084', matrix: 'bt2020nc', range: null },
        bitstream: { primaries: 'bt2020', transfer: 'smpte2084', matrix: 'bt2020nc', range: 'narrow' },
      },
      rotation: 0,
      mirrored: false,
      dynamicHdr: [],
      iccProfile: false,
      captions: false,
    },
    levels: {
      luma: { min: 64, max: 723, percentMin: 0, percentMax: 75.2 },
      rgb: { min: 64, max: 723, percentMin: 0, percentMax: 75.2 },
      percentiles: { p01: 64, p1: 70, p50: 300, p99: 650, p999: 700 },
      gamutError: { worstFrame: null, worstArea: 0, framesOver: 0, ranges: [] },
      reservedCodes: { samples: 0, firstFrame: null },
      looksFullRange: false,
    },
    luminance: {
      maxCll: 1000,
      maxCllFrame: 30,
      maxFall: 180,
      maxFallFrame: 31,
      activeMaxFall: { nits: 180, frame: 31 },
      overMastering: { frames: 0, ranges: [] },
      p9999: 900,
      displayPeak: null,
      declared: { maxCll: 1000, maxFall: 180, masteringMin: 0.005, masteringMax: 1000 },
      outsideP3: { worstFrame: null, worstArea: 0 },
    },
    ...NO_SECTIONS,
    effective: null,
    comparison: null,
    frameOrder: null,
    soundComparison: null,
    hdr: {
      mastering: structuredClone(MASTERING),
      lightLevel: { maxCll: 1000, maxFall: 180 },
    },
    layers: { container: structuredClone(LAYER), bitstream: structuredClone(LAYER) },
    wrapper: {
      brand: 'qt  ',
      indexFirst: true,
      fragments: 0,
      trailingBytes: 0,
      tracks: [
        structuredClone(TRACK),
        { ...structuredClone(TRACK), kind: 'audio', codec: 'in24', samples: 480_000 },
      ],
      timecode: {
        start: '10:00:00:00',
        frameRate: '25/1',
        framesPerSecond: 25,
        dropFrame: false,
        samples: 1,
        frames: 250,
        jumps: [],
      },
    },
    coding: {
      packets: 250,
      keyFrames: { container: 21, bitstream: 21 },
      intraOnly: false,
      gop: { shortest: 12, longest: 12, closed: true },
      bitRate: { mean: 50_000_000, peak: 60_000_000 },
      timestamps: { missing: 0, repeated: 0, backward: 0 },
    },
    histograms: null,
    curves: { picture: null, sound: [] },
    exposure: null,
    audio: [structuredClone(SOUND)],
    otherStreams: [],
    events: [],
    decode: { errors: 0, messages: [], truncated: false, endStated: true },
    unmeasured: [],
    method: { ffmpeg: '5.1.9', goodgate: '0.1.0', standards: [] },
  };
  for (const change of changes) change(m);
  return measurement.parse(m);
}

/** What is changed must be there: a change that changes nothing proves nothing. */
export function there<T>(part: T | null | undefined, what: string): T {
  if (part === null || part === undefined) throw new Error(`there is no ${what} to change`);
  return part;
}

type Video = NonNullable<Parameters<Change>[0]['video']>;

/** A change to the picture: by hand, or other figures in place of these. */
export const video =
  (change: ((v: Video) => void) | Partial<Video>): Change =>
  (m) => {
    const picture = there(m.video, 'picture');
    if (typeof change === 'function') change(picture);
    else Object.assign(picture, change);
  };

export const noVideo: Change = (m) => {
  m.video = null;
};
export const noLevels: Change = (m) => {
  m.levels = null;
};
export const noLuminance: Change = (m) => {
  m.luminance = null;
};
export const noSound: Change = (m) => {
  m.audio = [];
};
export const sound =
  (...streams: readonly Partial<AudioMeasurement>[]): Change =>
  (m) => {
    m.audio = streams.map((stream, i) => ({ ...SOUND, stream: i + 1, ...stream }));
  };
export const note =
  (what: string): Change =>
  (m) => {
    m.unmeasured.push({ what, why: 'the kernel said so' });
  };
/** What the configuration of the decoder in the container declares. */
export const samples =
  (declared: Layer['samples']): Change =>
  (m) => {
    there(m.layers.container, 'layer of the container').samples = declared;
  };
