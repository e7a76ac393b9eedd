import { none } from '../changes.js';
import { noLevels, note, noVideo, samples, video } from '../measured.js';
import { describeRows } from '../rows.js';

const decodedWith = (codec: string, declared: number) =>
  video((v) => {
    v.codec = codec;
    v.bitDepth.declared = declared;
  });

describeRows('bit-depth', [
  ['declared', { declared: 10 }, none, 'pass'],
  ['one of several', { declared: [10, 12] }, none, 'pass'],
  ['the container declares 8', { declared: 10 }, samples({ bitDepth: 8, chroma: '4:2:2' }), 'unmeasured'],
  ['the container declares them too', { declared: 10 }, samples({ bitDepth: 10, chroma: '4:2:0' }), 'pass'],
  ['fewer', { declared: 10 }, video((v) => Object.assign(v.bitDepth, { declared: 8 })), 'fail'],
  ['more', { declared: 10 }, decodedWith('ffv1', 12), 'fail'],
  // RDD 36: no field of a ProRes frame says how many bits there are; 4444 is decoded with 12 whatever it
  // holds.
  ['ProRes 4444 for 10 bits', { declared: 10 }, decodedWith('prores', 12), 'pass'],
  ['ProRes 4444 for 10 or 12', { declared: [10, 12] }, decodedWith('prores', 12), 'pass'],
  ['ProRes 422 for 12 bits', { declared: 12 }, decodedWith('prores', 10), 'fail'],
  ['ProRes 4444 for 16 bits', { declared: 16 }, decodedWith('prores', 12), 'fail'],
  ['all used', { declared: 10, effective: 10 }, none, 'pass'],
  [
    '8 bits dressed as 10',
    { declared: 10, effective: 10 },
    video((v) => Object.assign(v.bitDepth, { effective: 8 })),
    'fail',
  ],
  [
    'one bit short',
    { declared: 10, effective: 10 },
    video((v) => Object.assign(v.bitDepth, { effective: 9 })),
    'fail',
  ],
  [
    'use not known',
    { declared: 10, effective: 10 },
    video((v) => Object.assign(v.bitDepth, { effective: null })),
    'unmeasured',
  ],
  [
    'use not sure',
    { declared: 10, effective: 10 },
    video((v) => Object.assign(v.bitDepth, { confidence: 'low' })),
    'unmeasured',
  ],
  ['use doubted', { declared: 10, effective: 10 }, note('video.bitDepth'), 'unmeasured'],
  [
    'no proof asked for: use not known',
    { declared: 10, effective: 10, proof: false },
    video((v) => Object.assign(v.bitDepth, { effective: null, confidence: 'low' })),
    'pass',
  ],
  [
    'no proof asked for: 8 bits seen',
    { declared: 10, effective: 10, proof: false },
    video((v) => Object.assign(v.bitDepth, { effective: 8 })),
    'fail',
  ],
  [
    'no proof asked for: 8 bits, not sure',
    { declared: 10, effective: 10, proof: false },
    video((v) => Object.assign(v.bitDepth, { effective: 8, confidence: 'low' })),
    'unmeasured',
  ],
  [
    'no proof asked for: picture not read',
    { declared: 10, effective: 10, proof: false },
    noLevels,
    'unmeasured',
  ],
  [
    'no proof asked for: picture doubted',
    { declared: 10, effective: 10, proof: false },
    note('levels'),
    'unmeasured',
  ],
  ['no picture', { declared: 10 }, noVideo, 'fail'],
]);
