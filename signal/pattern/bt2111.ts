import { type Matrix3, transform3, type Vector3 } from '../matrix3.js';
import { encodeLuma, type RangeName } from '../quantise.js';
import { HLG } from '../transfer/hlg.js';
import { PQ } from '../transfer/pq.js';
import {
  atRun,
  type CodeAt,
  colourBars,
  grey,
  type PatternPicture,
  paint,
  type Run,
} from './pattern-picture.js';

/**
 * Recommendation ITU-R BT.2111-2 (12/2020): colour bars for HDR, 1920x1080, 10 bits. Edition 3 (05/2025)
 * moved the PQ bars by one code (58 % there means 203 cd/m2); the values here are those of edition 2.
 */
export type Bt2111Variant = 'hlg-narrow' | 'pq-narrow' | 'pq-full';

const WIDTH = 1920;
const HEIGHT = 1080;
const DEPTH = 10;

/**
 * BT.2087-0 equation for BT.709 to BT.2020 as printed, with four digits, as used for the table of the
 * Recommendation.
 */
const BT709_TO_BT2020_PRINTED: Matrix3 = [
  [0.6274, 0.3293, 0.0433],
  [0.0691, 0.9195, 0.0114],
  [0.0164, 0.088, 0.8956],
];

interface Levels {
  readonly range: RangeName;
  readonly low: number;
  readonly high: number;
  readonly main: number;
  readonly grey40: number;
  readonly steps: readonly number[];
  /** First and last code of the ramp, which continue before and after it. */
  readonly ramp: readonly [number, number];
  /** Column at which the ramp starts. */
  readonly rampStart: number;
  readonly nearBlack: readonly [number, number, number, number, number];
  /** Linear light of a main bar, and light to signal. */
  readonly light: number;
  readonly encode: (light: number) => number;
}

const NARROW = {
  range: 'narrow',
  low: 64,
  high: 940,
  grey40: 414,
  steps: [4, 64, 152, 239, 327, 414, 502, 590, 677, 765, 852, 940, 1019],
  ramp: [4, 1019],
  rampStart: 799,
  nearBlack: [48, 64, 80, 64, 99],
} as const;
const HLG_LIGHT = { light: HLG.inverseOetf(0.75), encode: HLG.oetf };
const PQ_LIGHT = { light: PQ.eotf(0.58), encode: PQ.inverseEotf };

const LEVELS: Readonly<Record<Bt2111Variant, Levels>> = {
  'hlg-narrow': { ...NARROW, main: 721, ...HLG_LIGHT },
  'pq-narrow': { ...NARROW, main: 572, ...PQ_LIGHT },
  'pq-full': {
    range: 'full',
    low: 0,
    high: 1023,
    main: 593,
    grey40: 409,
    steps: [0, 0, 102, 205, 307, 409, 512, 614, 716, 818, 921, 1023, 1023],
    ramp: [0, 1023],
    rampStart: 791,
    nearBlack: [0, 0, 20, 0, 41],
    ...PQ_LIGHT,
  },
};

const BAR_WIDTHS = [206, 206, 206, 204, 206, 206, 206] as const;
const STEP_WIDTHS = [206, 103, 103, 103, 103, 102, 102, 103, 103, 103, 103, 103, 103] as const;
const NEAR_BLACK_WIDTHS = [70, 68, 70, 68, 70] as const;
const SIDE = 240;

export function bt2111(variant: Bt2111Variant): PatternPicture {
  const levels = LEVELS[variant];
  const isHlg = variant === 'hlg-narrow';
  const rows: readonly Run<CodeAt>[] = [
    [90, across(bars(levels, levels.high))],
    [540, across(bars(levels, levels.main))],
    [90, across(staircase(levels))],
    [90, (x) => grey(rampCode(levels, x))],
    [270, across(bt709Bars(levels))],
  ];
  return {
    title: `BT.2111 colour bars, ${isHlg ? 'HLG' : 'PQ'} ${levels.range} range`,
    source: 'ITU-R BT.2111-2 (12/2020)',
    width: WIDTH,
    height: HEIGHT,
    depth: DEPTH,
    colour: {
      transfer: isHlg ? 'arib-std-b67' : 'smpte2084',
      primaries: 'bt2020',
      matrix: 'gbr',
      range: levels.range,
    },
    planes: paint(WIDTH, HEIGHT, (x, y) => atRun(rows, y).value(x, y)),
  };
}

/** The six BT.709 colours at the main bars' level, in BT.2020: yellow, cyan, green, magenta, red, blue. */
function bt709Codes({ light, encode, range }: Levels): readonly Vector3[] {
  const code = (channel: number): number => encodeLuma(encode(channel), DEPTH, range);
  return colourBars(light, 0)
    .slice(1)
    .map((bar) => {
      const [r, g, b] = transform3(BT709_TO_BT2020_PRINTED, bar);
      return [code(r), code(g), code(b)];
    });
}

function across(runs: readonly Run<Vector3>[]): CodeAt {
  return (x) => atRun(runs, x).value;
}

function bars({ grey40, low }: Levels, high: number): Run<Vector3>[] {
  const side: Run<Vector3> = [SIDE, grey(grey40)];
  return [side, ...zip(BAR_WIDTHS, colourBars(high, low)), side];
}

function staircase({ main, steps }: Levels): Run<Vector3>[] {
  const side: Run<Vector3> = [SIDE, grey(main)];
  return [side, ...zip(STEP_WIDTHS, steps.map(grey)), side];
}

/** One code per column. */
function rampCode({ low, ramp: [first, last], rampStart }: Levels, x: number): number {
  return x < SIDE ? low : Math.min(Math.max(first + 1 + x - rampStart, first), last);
}

function bt709Bars(levels: Levels): Run<Vector3>[] {
  const colours = zip([80, 80, 80, 80, 80, 80], bt709Codes(levels));
  return [
    ...colours.slice(0, 3),
    [136, grey(levels.low)],
    ...zip(NEAR_BLACK_WIDTHS, levels.nearBlack.map(grey)),
    [238, grey(levels.low)],
    [438, grey(levels.main)],
    [282, grey(levels.low)],
    ...colours.slice(3),
  ];
}

function zip(lengths: readonly number[], values: readonly Vector3[]): Run<Vector3>[] {
  return values.map((value, i) => [lengths[i] ?? 0, value]);
}
