import type { DisplayTransfer } from './transfer-function.js';

/** SMPTE ST 2084:2014, clause 5; ITU-R BT.2100-3 (02/2025), Table 4. */
const M1 = 2610 / 16384;
const M2 = (2523 / 4096) * 128;
const C1 = 3424 / 4096;
const C2 = (2413 / 4096) * 32;
const C3 = (2392 / 4096) * 32;

/** Luminance of signal 1, in cd/m2. */
export const PQ_PEAK_NITS = 10_000;

/**
 * Signal to cd/m2. Defined for 0..1 and limited to it: the formula has a pole near signal 2, and a luminance
 * below black or above 10,000 cd/m2 has no meaning in it. Signals up to 7.3e-7 are black (the max() of the
 * formula).
 */
function eotf(signal: number): number {
  const root = Math.min(Math.max(signal, 0), 1) ** (1 / M2);
  return PQ_PEAK_NITS * (Math.max(root - C1, 0) / (C2 - C3 * root)) ** (1 / M1);
}

/** cd/m2, limited to 0..10,000, to signal. */
function inverseEotf(nits: number): number {
  const power = (Math.min(Math.max(nits, 0), PQ_PEAK_NITS) / PQ_PEAK_NITS) ** M1;
  return ((C1 + C2 * power) / (1 + C3 * power)) ** M2;
}

export const PQ = {
  name: 'smpte2084',
  title: 'PQ',
  source: 'SMPTE ST 2084:2014, clause 5; ITU-R BT.2100-3 (02/2025), Table 4',
  aliases: ['PQ', 'ST 2084', 'SMPTE ST 2084'],
  codePoint: 16,
  primaries: 'bt2020',
  published: {
    light: [0, 10_000],
    mid: {
      light: 92.2457089941,
      signal: 0.5,
      tolerance: 1e-10,
      source: 'ST 2084: transcription, signal 0.5',
    },
  },
  family: 'pq',
  referred: 'display',
  linear: 'nits',
  coding: 'narrow',
  eotf,
  inverseEotf,
} as const satisfies DisplayTransfer;
