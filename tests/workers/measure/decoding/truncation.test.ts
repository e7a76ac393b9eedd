import { describe, expect, it } from 'vitest';
import type { ClipFacts, VideoFacts } from '../../../../jobs/manifest/facts.js';
import { type Delivered, endOf } from '../../../../workers/measure/decoding/truncation.js';
import { naiveFacts } from '../picture/kernel/naive-picture.js';

const MOV = 'mov,mp4,m4a,3gp,3g2,mj2';
const MKV = 'matroska,webm';

const picture = naiveFacts(
  {
    ...{
      width: 64,
      height: 36,
      depth: 10,
      model: 'grey',
      shiftX: 0,
      shiftY: 0,
      interlaced: false,
      planes: [],
    },
    colour: { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'narrow' },
  },
  'gray10le',
);

function facts(
  format: string,
  seconds: number | null,
  video: Partial<VideoFacts>,
  sound: number | null = null,
): ClipFacts {
  return {
    bytes: 1000,
    modified: '2026-01-01T00:00:00.000Z',
    container: { format, durationSeconds: seconds, startTimecode: null, reel: null, chapters: 0, tags: {} },
    video: { ...picture, ...video },
    audio: [
      {
        ...{ stream: 1, codec: 'aac', channels: 2, layout: 'stereo', sampleRate: 48000, bitDepth: null },
        durationSeconds: sound,
      },
    ],
    otherStreams: [],
    notes: [],
  };
}

const whole: Delivered = {
  frames: 100,
  videoSeconds: 4,
  videoStart: 0,
  audioSeconds: [4],
  containerEnd: 'whole',
  logSaysEarlyEnd: false,
  partly: 0,
};
const fromContainer = { frames: 100, framesFrom: 'container', durationSeconds: 4 } as const;
const fromPackets = { frames: 100, framesFrom: 'packets', durationSeconds: 4 } as const;

const CASES: readonly (readonly [string, ClipFacts, Partial<Delivered>, boolean])[] = [
  ['all there', facts(MOV, 4, fromContainer, 4), {}, false],
  ['one frame short of the sample table', facts(MOV, 4, fromContainer, 4), { frames: 99 }, true],
  ['one that an edit begins within', facts(MOV, 4, fromContainer, 4), { frames: 99, partly: 1 }, false],
  ['two, where an edit begins within one', facts(MOV, 4, fromContainer, 4), { frames: 98, partly: 1 }, true],
  ['a last frame that stays', facts(MOV, 9, { ...fromContainer, durationSeconds: 9 }, 4), {}, false],
  [
    'subtitles longer than picture and sound',
    {
      ...facts(MKV, 9, { ...fromPackets, durationSeconds: 9 }),
      otherStreams: [{ stream: 2, kind: 'subtitles', codec: 'subrip' }],
    },
    {},
    false,
  ],
  [
    'a track of something else that is longer',
    { ...facts(MOV, 9, fromContainer, 4), otherStreams: [{ stream: 2, kind: 'data', codec: 'gpmd' }] },
    {},
    false,
  ],
  ['the container goes on', facts(MOV, 4, fromContainer, 4), { containerEnd: 'cut' }, true],
  ['the log says so', facts(MOV, 4, fromContainer, 4), { logSaysEarlyEnd: true }, true],
  ['sound short', facts(MOV, 4, fromContainer, 4), { audioSeconds: [3.8] }, true],
  ['sound shorter by its padding', facts(MOV, 4, fromContainer, 4), { audioSeconds: [3.95] }, false],
  [
    'picture shorter than sound in a container with one duration',
    facts(MKV, 10, { ...fromPackets, durationSeconds: 10 }),
    { audioSeconds: [10] },
    false,
  ],
  ['both shorter than the container', facts(MKV, 10, { ...fromPackets, durationSeconds: 10 }), {}, true],
  [
    'picture short of its own duration',
    facts(MKV, 10, { ...fromPackets, durationSeconds: 5 }),
    { audioSeconds: [10] },
    true,
  ],
  ['a duration that was guessed', facts('mpegts', 10, { ...fromPackets, durationSeconds: 5 }), {}, false],
  [
    'no frame at all',
    facts('mpegts', null, { frames: null, framesFrom: null }),
    { frames: 0, videoSeconds: 0 },
    true,
  ],
  ['an empty chunk of AVI', facts('avi', 4, { ...fromContainer, frames: 101 }, 4), {}, false],
  [
    'more than empty chunks',
    facts('avi', 4.16, { ...fromContainer, frames: 104, durationSeconds: 4.16 }, 4),
    {},
    true,
  ],
  [
    'frames that repeat by nothing',
    facts('avi', 4, { ...fromContainer, frames: 100 }, 4),
    { frames: 60 },
    false,
  ],
  ['the same in Ogg', facts('ogg', 4, { ...fromContainer, frames: 100 }, 4), { frames: 60 }, false],
  ['the same, short of the end', facts('ogg', 4, fromContainer, 4), { frames: 60, videoSeconds: 3.9 }, true],
  [
    'a still of Ogg that changes once',
    facts('ogg', 4, { ...fromContainer, frameRate: '1/2' }, 4),
    { frames: 2, videoSeconds: 4 },
    false,
  ],
  [
    'the same, short of the end',
    facts('ogg', 8, { ...fromContainer, frameRate: '1/2', durationSeconds: 8 }, 4),
    { frames: 2, videoSeconds: 4 },
    true,
  ],
  ['the same in MOV', facts(MOV, 4, fromContainer, 4), { frames: 60 }, true],
  [
    'a duration from zero, pictures from later on',
    facts(MOV, 4.2, { ...fromPackets, durationSeconds: 4.08 }, 4),
    { videoStart: 0.08 },
    false,
  ],
  [
    'the same with a picture missing',
    facts(MOV, 4.2, { ...fromPackets, durationSeconds: 4.08 }, 4),
    { frames: 98, videoSeconds: 3.92, videoStart: 0.08 },
    true,
  ],
  [
    'a part of a live stream that is short',
    facts(MOV, 5, { ...fromPackets, durationSeconds: 4.9 }, 4),
    { videoStart: 3600 },
    true,
  ],
  [
    'one picture that stays for who knows how long',
    facts(MKV, 1, { ...fromPackets, frameRate: null, frames: 1, durationSeconds: 1 }),
    { frames: 1, videoSeconds: 0, audioSeconds: [] },
    false,
  ],
];

describe('what a file says of its own length', () => {
  const unsaid = { containerEnd: 'unsaid' } as const;
  it.each([
    ['a transport stream: nothing', facts('mpegts', 4, fromPackets, 4), unsaid, false],
    ['a raw stream: nothing', facts('h264', null, fromPackets), unsaid, false],
    ['fragments without a list of them: nothing', facts(MOV, 4, fromPackets, 4), unsaid, false],
    ['a live recording: nothing', facts(MKV, null, fromPackets), unsaid, false],
    ['a length in its header', facts(MKV, 4, fromPackets), unsaid, true],
    ['a count of frames', facts('avi', 4, fromContainer, 4), unsaid, true],
    ['where it ends', facts('mpeg', 4, fromPackets, 4), { containerEnd: 'whole' }, true],
    ['that there is more', facts(MOV, 4, fromPackets, 4), { containerEnd: 'cut' }, true],
    ['sound by itself, with a count of samples', { ...facts('flac', 4, {}, 4), video: null }, unsaid, true],
    ['sound by itself, without', { ...facts('aac', 4, {}, 4), video: null }, unsaid, false],
  ] as const)('%s', (_, clip, delivered, isStated) => {
    expect(endOf(clip, { ...whole, ...delivered }).isStated).toBe(isStated);
  });
});

describe('truncation', () => {
  it.each(CASES)('%s', (_, clip, delivered, truncated) => {
    const { reasons } = endOf(clip, { ...whole, ...delivered });
    expect(reasons.length > 0, reasons.join('; ')).toBe(truncated);
  });
});
