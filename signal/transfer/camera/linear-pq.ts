import { PQ } from '../pq.js';
import { cameraLog } from './camera-log.js';

/**
 * Scene light in the steps of PQ, 1.0 (a perfect diffuser) at its 1 cd/m2: how the floats of OpenEXR become
 * 16-bit codes, so that light from black to 10,000 times a diffuser has a code. ffmpeg's decoder of OpenEXR
 * applies it. Light below zero is black.
 */
export const LINEAR_PQ = cameraLog(
  {
    name: 'linear-pq',
    title: 'Scene light of floats, in PQ steps',
    source: 'SMPTE ST 2084:2014, clause 5, on scene light instead of cd/m2',
    aliases: [],
    codePoint: null,
    primaries: 'bt709',
    published: PQ.published,
  },
  { forward: PQ.inverseEotf, inverse: PQ.eotf },
);
