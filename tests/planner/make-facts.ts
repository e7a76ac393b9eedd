import type { ClipFacts, VideoFacts } from '../../jobs/manifest/facts.js';
import type { Capabilities } from '../../jobs/plan/capabilities.js';

/** Facts of an ordinary clip, with what a test cares about changed. */
export function videoFacts(changes: Partial<VideoFacts> = {}): VideoFacts {
  return {
    stream: 0,
    codec: 'prores',
    profile: 'HQ',
    width: 1920,
    height: 1080,
    sampleAspect: '1/1',
    displayAspect: '16/9',
    frameRate: '25/1',
    constantRate: true,
    scan: 'progressive',
    durationSeconds: 4,
    frames: 100,
    framesFrom: 'container',
    pixelFormat: 'yuv422p10le',
    bitDepth: 10,
    chroma: '4:2:2',
    rotation: 0,
    mirrored: false,
    colour: { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'narrow' },
    colourByLayer: { container: null, bitstream: null },
    hdr: { mastering: null, lightLevel: null },
    chromaLocation: 'left',
    dynamicHdr: [],
    iccProfile: false,
    captions: false,
    ...changes,
  };
}

export function clipFacts(
  video: Partial<VideoFacts> | null = {},
  changes: Partial<ClipFacts> = {},
): ClipFacts {
  return {
    bytes: 1_000_000,
    modified: '2026-01-01T00:00:00.000Z',
    container: {
      format: 'mov,mp4,m4a,3gp,3g2,mj2',
      durationSeconds: 4,
      startTimecode: '10:00:00:00',
      reel: 'A001',
      chapters: 0,
      tags: {},
    },
    video: video === null ? null : videoFacts(video),
    audio: [
      {
        stream: 1,
        codec: 'pcm_s24le',
        channels: 2,
        layout: 'stereo',
        sampleRate: 48_000,
        bitDepth: 24,
        durationSeconds: 4,
      },
    ],
    otherStreams: [],
    notes: [],
    ...changes,
  };
}

/** What Debian 12's ffmpeg takes in (published-values J, "Encoder input pixel formats", observed). */
export const CAPABILITIES: Capabilities = {
  ffmpegVersion: '5.1.9',
  ffprobeVersion: '5.1.9',
  encoders: {
    prores_ks: ['yuv422p10le', 'yuv444p10le', 'yuva444p10le'],
    cfhd: ['yuv422p10le', 'gbrp12le', 'gbrap12le'],
    ffv1: [
      'yuv420p',
      'yuv422p',
      'yuv444p',
      'yuv420p10le',
      'yuv422p10le',
      'yuv444p10le',
      'yuv422p12le',
      'yuv444p12le',
      'gbrp12le',
      'gray',
    ],
    libx264: ['yuv420p', 'yuv422p', 'yuv444p', 'yuv420p10le', 'yuv422p10le', 'yuv444p10le'],
    libx265: [
      'yuv420p',
      'yuv422p',
      'yuv444p',
      'yuv420p10le',
      'yuv422p10le',
      'yuv444p10le',
      'yuv420p12le',
      'yuv444p12le',
    ],
  },
  filters: ['zscale', 'lut3d', 'drawtext', 'showinfo', 'bwdif'],
  muxers: ['mov', 'mp4', 'matroska', 'mxf'],
  fontFile: '/usr/share/fonts/truetype/dejavu/DejaVuSansMono.ttf',
  cores: 2,
};
