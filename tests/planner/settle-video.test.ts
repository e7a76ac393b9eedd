import { describe, expect, it } from 'vitest';
import type { VideoFacts } from '../../jobs/manifest/facts.js';
import { loadTarget } from '../../jobs/targets/load-target.js';
import { settleVideo } from '../../planner/settle-video.js';

function facts(pixelFormat: string, bitDepth: number, chroma: VideoFacts['chroma']): VideoFacts {
  return {
    stream: 0,
    codec: 'x',
    profile: null,
    width: 64,
    height: 36,
    sampleAspect: null,
    displayAspect: null,
    frameRate: '25/1',
    constantRate: null,
    scan: null,
    durationSeconds: null,
    frames: null,
    framesFrom: null,
    pixelFormat,
    bitDepth,
    chroma,
    rotation: 0,
    mirrored: false,
    colour: { primaries: null, transfer: null, matrix: null, range: null },
    colourByLayer: { container: null, bitstream: null },
    hdr: { mastering: null, lightLevel: null },
    chromaLocation: null,
    dynamicHdr: [],
    iccProfile: false,
    captions: false,
  };
}

describe('settleVideo', () => {
  it.each([
    ['archive-ffv1', facts('yuv420p', 8, '4:2:0'), { bitDepth: 8, chroma: '4:2:0', rgb: false }],
    ['archive-ffv1', facts('yuv422p10le', 10, '4:2:2'), { bitDepth: 10, chroma: '4:2:2', rgb: false }],
    ['archive-ffv1', facts('gbrp12le', 12, '4:4:4'), { bitDepth: 12, chroma: '4:4:4', rgb: true }],
    ['archive-ffv1', facts('rgb48le', 16, null), { bitDepth: 16, chroma: '4:4:4', rgb: true }],
    ['archive-ffv1', facts('gray10le', 10, '4:0:0'), { bitDepth: 10, chroma: '4:0:0', rgb: false }],
    ['intermediate-444-12', facts('yuv444p12le', 12, '4:4:4'), { bitDepth: 12, chroma: '4:4:4', rgb: false }],
    ['intermediate-444-12', facts('gbrp12le', 12, '4:4:4'), { bitDepth: 12, chroma: '4:4:4', rgb: true }],
    [
      'intermediate-444-12-cineform',
      facts('yuv444p12le', 12, '4:4:4'),
      { bitDepth: 12, chroma: '4:4:4', rgb: true },
    ],
    ['proxy-h264', facts('gbrp12le', 12, '4:4:4'), { bitDepth: 8, chroma: '4:2:0', rgb: false }],
  ] as const)('%s of %o', async (name, video, settled) => {
    const { make } = await loadTarget(name, { baseFolder: '.' });
    if (make === undefined) throw new Error(`${name} makes nothing`);
    expect(settleVideo(make, video).video).toMatchObject(settled);
  });
});
