import { MAX_DEPTH, MIN_DEPTH } from '../quantise.js';
import {
  reflectanceOfCode,
  reflectanceOfNits,
  reflectanceOfPercent,
  reflectanceOfStops,
  type ScaleName,
} from './scale.js';

const NUMBER = String.raw`[+-]?(?:\d+(?:\.\d*)?|\.\d+)`;
const PERCENT = new RegExp(`^(${NUMBER})\\s*%$`);
const CODE = /^(\d{1,5})(?:@(\d{1,2}))?$/;
const NITS = new RegExp(`^(${NUMBER})\\s*(?:nits|cd/m2)$`);
const STOPS = new RegExp(`^(${NUMBER})\\s*stops?$`);
const CODE_DEPTH = 10;
export const LEVEL_FORMS =
  '61% (of the narrow range), 598 or 598@10 (code value), 203nits, +1.5stops, or 90% --from reflectance';

/** A parsed level. */
export interface ReadLevel {
  /** Scene light, 1 is a perfect diffuser. */
  readonly reflectance: number;
  /** The scale it was read on; null where it needs none, as stops. */
  readonly scale: ScaleName | null;
  /** How the figure was interpreted, in words. */
  readonly readAs: string;
}

/**
 * Reads a level. Stops need no scale; cd/m2 are on the PQ scale where none is given; a bare number is a code
 * value. Throws RangeError with what was given and which forms are allowed.
 */
export function parseLevel(text: string, from: ScaleName | null): ReadLevel {
  const value = text.trim();
  const stops = STOPS.exec(value);
  if (stops) {
    const figure = within(Number(stops[1]), -30, 30, 'stops');
    return { reflectance: reflectanceOfStops(figure), scale: null, readAs: 'stops from 18 % grey' };
  }
  const nits = NITS.exec(value);
  if (nits) {
    const scale = from ?? 'smpte2084';
    if (scale === 'reflectance') throw new RangeError('reflectance has no cd/m2: give it in percent');
    const figure = within(Number(nits[1]), 0, 10_000, 'cd/m2');
    return { reflectance: reflectanceOfNits(scale, figure), scale, readAs: 'light on the display, cd/m2' };
  }
  const percent = PERCENT.exec(value);
  const code = CODE.exec(value);
  if (!percent && !code) throw new RangeError(`"${text}" is no level: ${LEVEL_FORMS} are read`);
  if (from === null)
    throw new RangeError(`"${text}" means nothing without its scale: add --from, such as --from S-Log3`);
  if (percent) {
    const figure = Number(percent[1]);
    if (from === 'reflectance') {
      const reflectance = within(figure, 0, 100_000, '% reflectance') / 100;
      return { reflectance, scale: from, readAs: 'percent of the light that falls on it' };
    }
    const reflectance = reflectanceOfPercent(from, within(figure, -10, 120, '% of the narrow range'));
    return { reflectance, scale: from, readAs: 'percent of the narrow range' };
  }
  if (from === 'reflectance')
    throw new RangeError('reflectance has no code values: give it in percent, as 90%');
  const [, digits, bits] = code ?? [];
  const depth = within(bits === undefined ? CODE_DEPTH : Number(bits), MIN_DEPTH, MAX_DEPTH, 'bits');
  return {
    reflectance: reflectanceOfCode(from, Number(digits), depth),
    scale: from,
    readAs: `a code value of ${depth} bits${bits === undefined ? `; percent is written ${digits}%` : ''}`,
  };
}

function within(value: number, min: number, max: number, unit: string): number {
  if (value >= min && value <= max) return value;
  throw new RangeError(`${value} ${unit}: ${min} to ${max} are read`);
}
