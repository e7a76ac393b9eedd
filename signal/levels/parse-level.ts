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

/**
 * Reads a level and gives its scene light (1 is a perfect diffuser). Stops need no scale; cd/m2 are on the PQ
 * scale where none is given. RangeError says what was given and which forms are read.
 */
export function parseLevel(text: string, from: ScaleName | null): number {
  const value = text.trim();
  const stops = STOPS.exec(value);
  if (stops) return reflectanceOfStops(within(Number(stops[1]), -30, 30, 'stops'));
  const nits = NITS.exec(value);
  if (nits) {
    const scale = from ?? 'smpte2084';
    if (scale === 'reflectance') throw new RangeError('reflectance has no cd/m2: give it in percent');
    return reflectanceOfNits(scale, within(Number(nits[1]), 0, 10_000, 'cd/m2'));
  }
  const percent = PERCENT.exec(value);
  const code = CODE.exec(value);
  if (!percent && !code) throw new RangeError(`"${text}" is no level: ${LEVEL_FORMS} are read`);
  if (from === null)
    throw new RangeError(`"${text}" means nothing without its scale: add --from, such as --from S-Log3`);
  if (percent) {
    const figure = Number(percent[1]);
    return from === 'reflectance'
      ? within(figure, 0, 100_000, '% reflectance') / 100
      : reflectanceOfPercent(from, within(figure, -10, 120, '% of the narrow range'));
  }
  if (from === 'reflectance')
    throw new RangeError('reflectance has no code values: give it in percent, as 90%');
  const depth = code?.[2] === undefined ? CODE_DEPTH : Number(code[2]);
  return reflectanceOfCode(from, Number(code?.[1]), within(depth, MIN_DEPTH, MAX_DEPTH, 'bits'));
}

function within(value: number, min: number, max: number, unit: string): number {
  if (value >= min && value <= max) return value;
  throw new RangeError(`${value} ${unit}: ${min} to ${max} are read`);
}
