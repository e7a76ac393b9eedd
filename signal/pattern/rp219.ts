import type { Vector3 } from '../matrix3.js';
import { decodeLuma, encodeChroma, encodeLuma } from '../quantise.js';
import { rgbToYcbcr } from '../ycbcr.js';
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
 * SMPTE RP 219-1:2014: colour bars for high definition, 1920x1080, 10 bits, Y'CbCr of BT.709. Where it leaves
 * a choice: 75 % white beside the 100 % bars, black before the ramp, no sub-black valley and no super-white
 * peak. R'G'B' codes are from transcriptions that agree; Y'CbCr are computed with the BT.709 matrix. The
 * edges of bars are not shaped.
 */
const WIDTH = 1920;
const HEIGHT = 1080;
const DEPTH = 10;
const BLACK = 64;
const WHITE = 940;
const WHITE_75 = 721;
const GREY_40 = 414;
const GREY_15 = 195;
const RAMP_FROM = 445;
const RAMP_TO = 1475;

const SIDE = 240;
const BARS: readonly Run<Vector3>[] = [
  [SIDE, grey(GREY_40)],
  ...colourBars(WHITE_75, BLACK).map((bar, i): Run<Vector3> => [i === 0 || i === 6 ? 205 : 206, bar]),
  [SIDE, grey(GREY_40)],
];
const CYAN_AND_BLUE: readonly Run<Vector3>[] = [
  [SIDE, [BLACK, WHITE, WHITE]],
  [1440, grey(WHITE_75)],
  [SIDE, [BLACK, BLACK, WHITE]],
];
const PLUGE: readonly Run<Vector3>[] = [
  [SIDE, grey(GREY_15)],
  [309, grey(BLACK)],
  [411, grey(WHITE)],
  [171, grey(BLACK)],
  [69, grey(46)],
  [68, grey(BLACK)],
  [69, grey(82)],
  [68, grey(BLACK)],
  [69, grey(99)],
  [206, grey(BLACK)],
  [SIDE, grey(GREY_15)],
];
const ROWS: readonly Run<CodeAt>[] = [
  [630, across(BARS)],
  [90, across(CYAN_AND_BLUE)],
  [90, yellowRampRed],
  [270, across(PLUGE)],
];

export function rp219(): PatternPicture {
  return {
    title: 'RP 219 colour bars',
    source: 'SMPTE RP 219-1:2014',
    width: WIDTH,
    height: HEIGHT,
    depth: DEPTH,
    colour: { transfer: 'bt709', primaries: 'bt709', matrix: 'bt709', range: 'narrow' },
    planes: paint(WIDTH, HEIGHT, (x, y) => ycbcrCodes(atRun(ROWS, y).value(x, y))),
  };
}

function across(runs: readonly Run<Vector3>[]): CodeAt {
  return (x) => atRun(runs, x).value;
}

function yellowRampRed(x: number): Vector3 {
  if (x < SIDE) return [WHITE, WHITE, BLACK];
  if (x >= WIDTH - SIDE) return [WHITE, BLACK, BLACK];
  const share = (x - RAMP_FROM) / (RAMP_TO - 1 - RAMP_FROM);
  return grey(Math.round(BLACK + (WHITE - BLACK) * Math.min(Math.max(share, 0), 1)));
}

function ycbcrCodes([r, g, b]: Vector3): Vector3 {
  const signal = (code: number): number => decodeLuma(code, DEPTH, 'narrow');
  const [y, cb, cr] = rgbToYcbcr([signal(r), signal(g), signal(b)], 'bt709');
  return [
    encodeLuma(y, DEPTH, 'narrow'),
    encodeChroma(cb, DEPTH, 'narrow'),
    encodeChroma(cr, DEPTH, 'narrow'),
  ];
}
