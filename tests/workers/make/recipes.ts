import type { Colour } from '../../../jobs/manifest/colour.js';
import type { ClipFacts, VideoFacts } from '../../../jobs/manifest/facts.js';
import type { OutputRecipe, PlannedClip, PlannedOutput } from '../../../jobs/plan/plan.js';

export const HD: Colour = { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'narrow' };
export const PQ: Colour = { primaries: 'bt2020', transfer: 'smpte2084', matrix: 'bt2020nc', range: 'narrow' };
export const LOG: Colour = {
  primaries: 'S-Gamut3.Cine',
  transfer: 'S-Log3',
  matrix: 'bt709',
  range: 'narrow',
};
export const RGB: Colour = { ...HD, matrix: 'gbr', range: 'full' };

export const VIDEO: VideoFacts = {
  stream: 0,
  codec: 'ffv1',
  profile: null,
  width: 128,
  height: 72,
  sampleAspect: '1/1',
  displayAspect: '16/9',
  frameRate: '25/1',
  constantRate: true,
  scan: 'progressive',
  durationSeconds: 0.4,
  frames: 10,
  framesFrom: 'container',
  pixelFormat: 'yuv422p10le',
  bitDepth: 10,
  chroma: '4:2:2',
  rotation: 0,
  mirrored: false,
  colour: HD,
  colourByLayer: { container: HD, bitstream: null },
  hdr: { mastering: null, lightLevel: null },
  chromaLocation: 'left',
  dynamicHdr: [],
  iccProfile: false,
  captions: false,
};

export function clip(video: Partial<VideoFacts> = {}, facts: Partial<ClipFacts> = {}): PlannedClip {
  return {
    path: '/card/A001.mov',
    name: 'A001.mov',
    colour: null,
    facts: {
      bytes: 1000,
      modified: '2024-01-01T00:00:00.000Z',
      container: {
        format: 'mov',
        durationSeconds: 0.4,
        startTimecode: null,
        reel: null,
        chapters: 0,
        tags: {},
      },
      video: { ...VIDEO, ...video },
      audio: [],
      otherStreams: [],
      notes: [],
      ...facts,
    },
  };
}

export const RECIPE: OutputRecipe = {
  container: 'mov',
  video: {
    encoder: 'prores_ks',
    profile: 'hq',
    pixelFormat: 'yuv422p10le',
    bitDepth: 10,
    chroma: '4:2:2',
    alpha: false,
    crf: null,
    lossless: false,
    maxBitRate: null,
  },
  raster: { width: 128, height: 72, fit: 'exact', scaledWidth: 128, scaledHeight: 72 },
  sampleAspect: '1/1',
  rotation: 0,
  deinterlace: false,
  sourceScan: 'progressive',
  frameRate: '25/1',
  scan: 'progressive',
  sourceColour: HD,
  colour: HD,
  rendering: null,
  hdr: { mastering: null, lightLevel: null },
  burnIn: null,
  timecode: null,
  reel: null,
  carry: null,
  audio: null,
};

export function codec(
  encoder: OutputRecipe['video']['encoder'],
  pixelFormat: string,
  more: Partial<OutputRecipe['video']> = {},
): OutputRecipe['video'] {
  const chroma = pixelFormat.includes('420') ? '4:2:0' : pixelFormat.includes('422') ? '4:2:2' : '4:4:4';
  const bitDepth = Number(/p(\d+)le$/.exec(pixelFormat)?.[1] ?? 8);
  return { ...RECIPE.video, encoder, profile: null, pixelFormat, chroma, bitDepth, ...more };
}

export function planned(recipe: Partial<OutputRecipe>): PlannedOutput {
  return {
    target: 'a-target',
    path: 'a-target/A001.mov',
    key: '0'.repeat(20),
    recipe: { ...RECIPE, ...recipe },
    require: {},
    losses: [],
    estimate: { bytes: 0, seconds: 0 },
  };
}

/** Of a display of 1,000 cd/m2. */
export const DISPLAY: OutputRecipe['hdr'] = {
  mastering: {
    red: [0.68, 0.32],
    green: [0.265, 0.69],
    blue: [0.15, 0.06],
    white: [0.3127, 0.329],
    minLuminance: 0.005,
    maxLuminance: 1000,
  },
  lightLevel: { maxCll: 1000, maxFall: 180 },
};
