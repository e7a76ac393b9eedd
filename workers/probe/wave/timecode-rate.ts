import { parseRational, type Rational, rational, toNumber } from '../../../signal/rational.js';
import { nominalRate, supportsDropFrame } from '../../../signal/timecode.js';
import type { Ixml } from './read-ixml.js';

/** How a recorder counted its timecode, as far as iXML says. */
export interface TimecodeRate {
  readonly rate: Rational;
  /** Null where both counts exist and nothing says which one is meant. */
  readonly dropFrame: boolean | null;
}

/** `23.98` for 24000/1001 is the coarsest that is written (common practice, no source). */
const ROUNDED_BY = 0.006;
const WHOLE_BY = 0.0005;

/**
 * The rate and the count of a recorder's timecode. Rates are written as fractions (iXML specification 3.01,
 * from memory) and, by some, as decimals. What cannot be used is told in a note.
 */
export function timecodeRateOf(
  { timecodeRate, timecodeFlag }: Pick<Ixml, 'timecodeRate' | 'timecodeFlag'>,
  notes: string[],
): TimecodeRate | null {
  if (timecodeRate === null) return null;
  const rate = rateOf(timecodeRate);
  if (rate === null) {
    notes.push(
      `its iXML states a timecode of "${timecodeRate.slice(0, 40)}" frames a second, which has no timecode: write startTimecode into the manifest`,
    );
    return null;
  }
  const flag = timecodeFlag?.toUpperCase() ?? null;
  if (!supportsDropFrame(rate)) return { rate, dropFrame: false };
  if (flag === 'DF' || flag === 'NDF') return { rate, dropFrame: flag === 'DF' };
  notes.push(
    `its iXML does not say whether its timecode of ${timecodeRate} frames a second drops frames (TIMECODE_FLAG is neither DF nor NDF)`,
  );
  return { rate, dropFrame: null };
}

function rateOf(text: string): Rational | null {
  const stated = parseRational(text);
  if (stated !== null && nominalRate(stated) !== null) return stated;
  const decimal = /^\d{1,3}[.,]\d{1,9}$/.test(text) ? Number(text.replace(',', '.')) : null;
  const value = stated === null ? decimal : toNumber(stated);
  if (value === null) return null;
  const whole = Math.round(value);
  const near = [
    { rate: () => rational(whole), off: Math.abs(value - whole), most: WHOLE_BY },
    {
      rate: () => rational(whole * 1000, 1001),
      off: Math.abs(value - (whole * 1000) / 1001),
      most: ROUNDED_BY,
    },
  ].find(({ off, most }) => off <= most);
  const rate = near === undefined || whole === 0 ? null : near.rate();
  return rate === null || nominalRate(rate) === null ? null : rate;
}
