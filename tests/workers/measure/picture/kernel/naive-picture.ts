import type { Colour, ScanName } from '../../../../../jobs/manifest/colour.js';
import type { VideoFacts } from '../../../../../jobs/manifest/facts.js';
import { rgbToRgbMatrix } from '../../../../../signal/gamut/convert.js';
import { transform3, type Vector3 } from '../../../../../signal/matrix3.js';
import { decodeChroma, decodeLuma, lumaPosition } from '../../../../../signal/quantise.js';
import { HLG } from '../../../../../signal/transfer/hlg.js';
import { hlgOotf } from '../../../../../signal/transfer/hlg-ootf.js';
import { PQ } from '../../../../../signal/transfer/pq.js';
import { ycbcrToRgb } from '../../../../../signal/ycbcr.js';

/**
 * The measurements of a picture as one would write them down: pixel by pixel, in double precision, no table,
 * no short cut. The kernels are held to it.
 */
export interface NaivePicture {
  readonly width: number;
  readonly height: number;
  readonly depth: number;
  readonly model: 'ycbcr' | 'rgb' | 'grey';
  readonly shiftX: number;
  readonly shiftY: number;
  readonly colour: Colour;
  readonly interlaced: boolean;
  /** Y, Cb, Cr or G, B, R, or Y alone. */
  readonly planes: readonly (readonly number[])[];
}

export interface NaiveFigures {
  readonly rgb: readonly Vector3[];
  readonly rgbMin: number;
  readonly rgbMax: number;
  /** Area outside R 103 with the limits a hair wider and a hair narrower: rounding may decide in between. */
  readonly gamutArea: readonly [number, number];
  /** cd/m2 of max(R,G,B), pixel by pixel; empty for SDR. */
  readonly light: readonly number[];
  readonly p3Area: readonly [number, number];
}

/** EBU R 103 v3.0 (May 2020), Table 1, preferred minimum and maximum, as printed. */
const R103: Readonly<Record<number, readonly [number, number]>> = {
  8: [5, 246],
  10: [20, 984],
  12: [80, 3936],
  16: [1280, 62976],
};
const HAIR = 0.01;

export function naiveFigures(picture: NaivePicture): NaiveFigures {
  const { width, height, depth, colour } = picture;
  const rgb: Vector3[] = [];
  for (let y = 0; y < height; y++) for (let x = 0; x < width; x++) rgb.push(rgbCodes(picture, x, y));
  const all = rgb.flat();
  const light = rgb.map((pixel) => lightOf(pixel, depth, colour));
  return {
    rgb,
    rgbMin: Math.min(...all),
    rgbMax: Math.max(...all),
    gamutArea: [gamutArea(picture, rgb, HAIR), gamutArea(picture, rgb, -HAIR)],
    light: light.filter((nits) => nits !== null),
    p3Area: [p3Area(picture, rgb, light, 1.02), p3Area(picture, rgb, light, 0.98)],
  };
}

/** R', G', B' of a pixel as unrounded codes; chroma is that of the sample the pixel belongs to. */
function rgbCodes(picture: NaivePicture, x: number, y: number): Vector3 {
  const { width, height, depth, colour, planes, shiftX, shiftY } = picture;
  const at = (plane: number, index: number): number => planes[plane]?.[index] ?? Number.NaN;
  const pixel = y * width + x;
  if (picture.model === 'rgb') return [at(2, pixel), at(0, pixel), at(1, pixel)];
  const luma = at(0, pixel);
  if (picture.model === 'grey' || colour.matrix === 'gbr') return [luma, luma, luma];
  const chromaWidth = Math.ceil(width / 2 ** shiftX);
  const chromaHeight = Math.ceil(height / 2 ** shiftY);
  let row = Math.floor(y / 2 ** shiftY);
  if (picture.interlaced && shiftY > 0) {
    const field = y % 2;
    const lineInField = Math.floor(y / 2);
    row = Math.min(2 * Math.floor(lineInField / 2 ** shiftY) + field, chromaHeight - 1);
  }
  const chroma = row * chromaWidth + Math.floor(x / 2 ** shiftX);
  const signal = ycbcrToRgb(
    [
      decodeLuma(luma, depth, colour.range),
      decodeChroma(at(1, chroma), depth, colour.range),
      decodeChroma(at(2, chroma), depth, colour.range),
    ],
    colour.matrix,
  );
  const code = (value: number): number => lumaPosition(value, depth, colour.range);
  return [code(signal[0]), code(signal[1]), code(signal[2])];
}

function gamutArea(picture: NaivePicture, rgb: readonly Vector3[], hair: number): number {
  const { width, height, depth, colour } = picture;
  const across = [1, 2, 3, 4, 3, 2, 1];
  const down = [1, 2, 1];
  const step = picture.interlaced ? 2 : 1;
  const [least, most] = R103[depth] ?? [Number.NaN, Number.NaN];
  // A full-range picture is judged as mapped to narrow codes.
  const toNarrow = (code: number): number =>
    lumaPosition(decodeLuma(code, depth, colour.range), depth, 'narrow');
  const clamp = (value: number, top: number): number => Math.min(Math.max(value, 0), top);
  let outside = 0;
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const sum = [0, 0, 0];
      down.forEach((weightDown, j) => {
        const neighbour = y + (j - 1) * step;
        const row = neighbour < 0 || neighbour >= height ? y : neighbour;
        across.forEach((weightAcross, i) => {
          const pixel = rgb[row * width + clamp(x + i - 3, width - 1)] ?? [0, 0, 0];
          pixel.forEach((value, c) => {
            sum[c] = (sum[c] ?? 0) + (value * weightDown * weightAcross) / 64;
          });
        });
      });
      const codes = sum.map(toNarrow);
      if (codes.some((code) => code < least - hair || code > most + hair)) outside++;
    }
  }
  return outside / (width * height);
}

function signalOf(code: number, depth: number, colour: Colour): number {
  return decodeLuma(code, depth, colour.range);
}

function lightOf(pixel: Vector3, depth: number, colour: Colour): number | null {
  const signal = pixel.map((code) => signalOf(code, depth, colour));
  if (colour.transfer === 'smpte2084') return Math.max(...signal.map((value) => PQ.eotf(value)));
  if (colour.transfer !== 'arib-std-b67') return null;
  return Math.max(...hlgOotf(sceneOf(signal, depth, colour)));
}

/**
 * Scene light of HLG signals, limited to what a code can carry: 1019 of 10 bits, nominal peak in full range.
 */
function sceneOf(signal: readonly number[], depth: number, colour: Colour): Vector3 {
  const highest =
    colour.range === 'full' ? 1 : decodeLuma(2 ** depth - 1 - 2 ** (depth - 8), depth, 'narrow');
  const held = signal.map((value) => Math.min(Math.max(value, 0), highest));
  const [r = 0, g = 0, b = 0] = held.map((value) => HLG.inverseOetf(value));
  return [r, g, b];
}

function p3Area(
  picture: NaivePicture,
  rgb: readonly Vector3[],
  light: readonly (number | null)[],
  hair: number,
): number {
  const { colour, depth, width, height } = picture;
  if (colour.primaries !== 'bt2020' || light[0] === null) return Number.NaN;
  const toP3 = rgbToRgbMatrix('bt2020', 'smpte432');
  let outside = 0;
  rgb.forEach((pixel, i) => {
    const signal = pixel.map((code) => signalOf(code, depth, colour));
    const [r = 0, g = 0, b = 0] = signal.map((value) => PQ.eotf(value));
    const linear: Vector3 = colour.transfer === 'smpte2084' ? [r, g, b] : sceneOf(signal, depth, colour);
    const least = Math.min(...transform3(toP3, linear));
    if ((light[i] ?? 0) >= 1 * hair && least < -0.01 * hair * Math.max(...linear)) outside++;
  });
  return outside / (width * height);
}

export function naiveFacts(picture: NaivePicture, pixelFormat: string): VideoFacts {
  const { colour } = picture;
  const scan: ScanName = picture.interlaced ? 'interlaced-tff' : 'progressive';
  return {
    stream: 0,
    codec: 'rawvideo',
    profile: null,
    width: picture.width,
    height: picture.height,
    sampleAspect: '1/1',
    displayAspect: null,
    frameRate: '25/1',
    constantRate: true,
    scan,
    durationSeconds: null,
    frames: 1,
    framesFrom: 'container',
    pixelFormat,
    bitDepth: picture.depth,
    chroma: null,
    rotation: 0,
    mirrored: false,
    colour,
    colourByLayer: { container: null, bitstream: null },
    hdr: { mastering: null, lightLevel: null },
    chromaLocation: null,
    dynamicHdr: [],
    iccProfile: false,
    captions: false,
  };
}

/** ffmpeg's name of a planar format. */
export function pixelFormatName(picture: NaivePicture): string {
  const { depth, model, shiftX, shiftY } = picture;
  const bits = depth === 8 ? '' : `${depth}le`;
  if (model === 'grey') return `gray${bits}`;
  if (model === 'rgb') return `gbrp${bits}`;
  const digits: Readonly<Record<string, string>> = {
    '00': '444',
    '10': '422',
    '11': '420',
    '20': '411',
    '01': '440',
  };
  return `yuv${digits[`${shiftX}${shiftY}`]}p${bits}`;
}

/** The planes as ffmpeg's rawvideo packs them. */
export function packPlanes(picture: NaivePicture): Uint8Array {
  const codes = picture.planes.flat();
  return picture.depth === 8 ? Uint8Array.from(codes) : new Uint8Array(Uint16Array.from(codes).buffer);
}
