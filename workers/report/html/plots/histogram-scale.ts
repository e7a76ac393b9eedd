import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import type { RequirementSet } from '../../../../jobs/requirements/requirement.js';
import { fixed, significant } from '../../../../jobs/words/numbers.js';
import { nits } from '../../../../jobs/words/quantities.js';
import { decodeLuma, lumaLevels, maxCode } from '../../../../signal/quantise.js';
import { r103PreferredLevels } from '../../../../signal/r103.js';
import { HLG } from '../../../../signal/transfer/hlg.js';
import { hlgSystemGamma } from '../../../../signal/transfer/hlg-ootf.js';
import { PQ } from '../../../../signal/transfer/pq.js';
import { transferFunction } from '../../../../signal/transfer/transfer-functions.js';
import { thousands } from './axis.js';
import type { Asked } from './plot-limits.js';

/** A line across a histogram, by code: every scale puts it where it belongs. */
export interface CodeMark {
  readonly code: number;
  readonly name: string;
}

/** One way to read a code value. */
export interface HistogramScale {
  readonly id: 'percent' | 'code' | 'nits' | 'stops';
  /** On the button. */
  readonly name: string;
  /** Below the drawing: what the scale is, in full. */
  readonly about: string;
  readonly log: boolean;
  readonly min: number;
  readonly max: number;
  readonly interval?: number;
  /** Monotone; may lie outside min..max, and is then drawn at the edge. */
  readonly place: (code: number) => number;
  readonly label: (value: number) => string;
  readonly marks: readonly CodeMark[];
}

/**
 * The scales that mean something for a picture, the fitting one first: stops for camera logs, cd/m2 for PQ
 * and HLG, percent of the nominal range for everything else. Code values always last.
 */
export function histogramScales(measured: Measurement, asked: readonly Asked[]): HistogramScale[] {
  const { video } = measured;
  if (video === null) return [];
  const depth = video.bitDepth.declared;
  const range = video.colour.range ?? 'narrow';
  const levels = marksOfLevels(depth, range, asked);
  const top = maxCode(depth);
  const percentOf = (code: number): number => 100 * decodeLuma(code, depth, range);
  const { lowest, highest } = codesUsed(measured, top);
  const percent: HistogramScale = {
    id: 'percent',
    name: 'Percent',
    about: `Percent of the ${range} range: 0 is nominal black, 100 nominal white.`,
    log: false,
    min: Math.floor(percentOf(lowest) / 20) * 20,
    max: Math.ceil(percentOf(highest) / 20) * 20,
    interval: 20,
    place: percentOf,
    label: (value) => significant(value, 6),
    marks: levels,
  };
  const eighth = (top + 1) / 8;
  const code: HistogramScale = {
    id: 'code',
    name: 'Code value',
    about: `Code values at ${depth} bits.`,
    log: false,
    min: Math.floor(lowest / eighth) * eighth,
    max: Math.ceil(highest / eighth) * eighth,
    interval: eighth,
    place: (value) => value,
    label: (value) => fixed(value, 0),
    marks: levels,
  };
  const light = lightScale(measured, depth, range, asked);
  const stops = stopScale(measured, depth, range);
  return [stops, light, percent, code].filter((scale) => scale !== null);
}

/** All codes of the depth, and beyond them what R'G'B' reaches after the matrix. */
function codesUsed({ histograms }: Measurement, top: number): { lowest: number; highest: number } {
  const all = [histograms?.luma, histograms?.red, histograms?.green, histograms?.blue].filter(
    (one) => one !== null && one !== undefined,
  );
  return {
    lowest: Math.min(0, ...all.map(({ firstCode }) => firstCode)),
    highest: Math.max(top, ...all.map((one) => one.firstCode + one.counts.length * one.codesPerBin)),
  };
}

function marksOfLevels(depth: number, range: 'narrow' | 'full', asked: readonly Asked[]): CodeMark[] {
  const judged = asked.some(({ require }) => require['signal-range'] !== undefined);
  if (judged && range === 'narrow') {
    const { min, max } = r103PreferredLevels(depth);
    return [
      { code: min, name: 'R 103' },
      { code: max, name: 'R 103' },
    ];
  }
  const { black, white } = lumaLevels(depth, range);
  return [
    { code: black, name: 'black' },
    { code: white, name: 'white' },
  ];
}

function lightScale(
  { luminance }: Measurement,
  depth: number,
  range: 'narrow' | 'full',
  asked: readonly Asked[],
): HistogramScale | null {
  if (luminance === null) return null;
  const { displayPeak } = luminance;
  const signal = (code: number): number => decodeLuma(code, depth, range);
  const nitsOf =
    displayPeak === null
      ? PQ.eotf
      : (level: number): number =>
          displayPeak * Math.max(HLG.inverseOetf(level), 0) ** hlgSystemGamma(displayPeak);
  const { black, white } = lumaLevels(depth, range);
  const codeOf = (nits: number): number => {
    const level =
      displayPeak === null
        ? PQ.inverseEotf(nits)
        : HLG.oetf((nits / displayPeak) ** (1 / hlgSystemGamma(displayPeak)));
    return black + level * (white - black);
  };
  const peaks = [...new Set(asked.map(({ require }) => peakOf(require)).filter((peak) => peak !== null))];
  const mastering = luminance.declared.masteringMax;
  return {
    id: 'nits',
    name: 'cd/m²',
    about: `Light of a grey of that level, cd/m², log scale${displayPeak === null ? '' : `, on a display of ${nits(displayPeak)}`}. Under 0.01 at the left edge.`,
    log: true,
    min: 0.01,
    max: 10_000,
    place: (code) => nitsOf(signal(code)),
    label: thousands,
    marks: [
      ...peaks.map((peak) => ({ code: codeOf(peak), name: `limit ${peak}` })),
      ...(mastering === null || mastering <= 0 || peaks.includes(mastering)
        ? []
        : [{ code: codeOf(mastering), name: 'mastering' }]),
    ],
  };
}

function peakOf(require: RequirementSet): number | null {
  return require['peak-luminance']?.max ?? null;
}

const GREY = 0.18;
const DARKEST_STOP = -10;

function stopScale(
  { exposure }: Measurement,
  depth: number,
  range: 'narrow' | 'full',
): HistogramScale | null {
  if (exposure === null) return null;
  const curve = transferFunction(exposure.transfer);
  if (curve.referred !== 'scene' || curve.linear !== 'reflectance') return null;
  const top = maxCode(depth);
  const signal = (code: number): number =>
    curve.coding === 'full-code' ? code / top : decodeLuma(code, depth, range);
  const place = (code: number): number => {
    const reflectance = curve.inverseOetf(signal(code));
    return reflectance <= 0 ? DARKEST_STOP : Math.max(DARKEST_STOP, Math.log2(reflectance / GREY));
  };
  const greyCode =
    curve.coding === 'full-code'
      ? curve.oetf(GREY) * top
      : lumaLevels(depth, range).black +
        curve.oetf(GREY) * (lumaLevels(depth, range).white - lumaLevels(depth, range).black);
  return {
    id: 'stops',
    name: 'Stops',
    about: `Stops from 18 % grey, by the curve ${exposure.transfer}. ${DARKEST_STOP} and darker at the left edge.`,
    log: false,
    min: DARKEST_STOP,
    max: Math.max(2, 2 * Math.ceil(place(top) / 2)),
    interval: 2,
    place,
    label: (value) => `${value > 0 ? '+' : ''}${significant(value, 6)}`,
    marks: [{ code: greyCode, name: '18 % grey' }],
  };
}
