import { bt2111 } from './bt2111.js';
import type { PatternPicture } from './pattern-picture.js';
import { ramp } from './ramp.js';
import { rp219 } from './rp219.js';
import { zonePlate } from './zone-plate.js';

export const PATTERN_NAMES = [
  'bt2111-hlg',
  'bt2111-pq',
  'bt2111-pq-full',
  'rp219',
  'ramp',
  'zone-plate',
] as const;
export type PatternName = (typeof PATTERN_NAMES)[number];

/** Size and depth of patterns that no standard defines. */
export interface PatternShape {
  readonly width: number;
  readonly height: number;
  readonly depth: number;
}
export const USUAL_SHAPE: PatternShape = { width: 1920, height: 1080, depth: 10 };

/** Whether a standard defines size and depth of a pattern. */
export function hasFixedShape(name: PatternName): boolean {
  return name !== 'ramp' && name !== 'zone-plate';
}

export function makePattern(name: PatternName, shape: PatternShape = USUAL_SHAPE): PatternPicture {
  switch (name) {
    case 'bt2111-hlg':
      return bt2111('hlg-narrow');
    case 'bt2111-pq':
      return bt2111('pq-narrow');
    case 'bt2111-pq-full':
      return bt2111('pq-full');
    case 'rp219':
      return rp219();
    case 'ramp':
      return ramp(shape);
    case 'zone-plate':
      return zonePlate(shape);
  }
}
