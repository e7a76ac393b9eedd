import type { Branch } from './piecewise.js';

/** `slope * light + offset`: the toe of most log curves. */
export function linearBranch(slope: number, offset: number): Branch {
  return {
    forward: (light) => slope * light + offset,
    inverse: (signal) => (signal - offset) / slope,
  };
}

/** `gain * log10(scale * light + shift) + offset`, the shape of most log curves above their toe. */
export function logBranch({ gain, scale, shift, offset }: LogConstants): Branch {
  return {
    forward: (light) => gain * Math.log10(scale * light + shift) + offset,
    inverse: (signal) => (10 ** ((signal - offset) / gain) - shift) / scale,
  };
}

export interface LogConstants {
  readonly gain: number;
  readonly scale: number;
  readonly shift: number;
  readonly offset: number;
}
