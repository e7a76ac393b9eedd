import { lumaCoefficients } from '../../../../signal/ycbcr.js';
import type { PicturePlan } from '../plan/picture-plan.js';
import type { FramePlanes, PlaneStudy } from '../recording/frame-study.js';
import { WINDOW } from './fft64.js';
import { RepeatSums, repeatsLength } from './repeated-samples.js';
import { SPECTRUM_LENGTH, SpectrumSums } from './spectrum-sums.js';

/**
 * Directions that are examined, each a section of the sums. Fields: every second line, as interlaced chroma
 * is sampled.
 */
export const SPECTRA = [
  'chromaAcross',
  'chromaDown',
  'chromaDownInFields',
  'lumaAcross',
  'lumaDown',
] as const;
export type SpectrumName = (typeof SPECTRA)[number];

/** Directions of luma in which samples may be repeated; their sums come after the spectra. */
export type RepeatName = 'across' | 'down';

/** The sums of repeated samples within the sums of the study. */
export function repeatsAt(sums: Float64Array, name: RepeatName): Float64Array {
  const first = SPECTRA.length * SPECTRUM_LENGTH;
  const across = repeatsLength(TILES_ACROSS);
  return name === 'across'
    ? sums.subarray(first, first + across)
    : sums.subarray(first + across, first + across + repeatsLength(TILES_DOWN));
}

/** A spectrum within the sums of the study. */
export function spectrumAt(sums: Float64Array, name: SpectrumName): Float64Array {
  const at = SPECTRA.indexOf(name) * SPECTRUM_LENGTH;
  return sums.subarray(at, at + SPECTRUM_LENGTH);
}

/** Squares of 64 samples examined in a plane: at most this many across and down, spread evenly. */
const TILES_ACROSS = 12;
const TILES_DOWN = 8;
/** Rows, and columns, examined in a square. */
const LINES = 8;

/**
 * Reads a window of 64 samples of the picture: the first at index `at` of its plane, each `step` after the
 * one before.
 */
type ReadWindow = (at: number, step: number, into: Float64Array) => void;

/**
 * Spectra of chroma and luma in every 12th frame, at places that depend on the raster alone. All windows
 * begin on a multiple of 24 samples (in fields, lines of the field), so that the phase of a grid of 2, 3, 4
 * or 8 samples is the same in all of them.
 */
export function spectrumStudy(plan: PicturePlan): PlaneStudy {
  const sums = new Float64Array(
    SPECTRA.length * SPECTRUM_LENGTH + repeatsLength(TILES_ACROSS) + repeatsLength(TILES_DOWN),
  );
  const of = (name: SpectrumName): SpectrumSums => new SpectrumSums(spectrumAt(sums, name));
  const chroma = { across: of('chromaAcross'), down: of('chromaDown'), fields: of('chromaDownInFields') };
  const luma = { across: of('lumaAcross'), down: of('lumaDown') };
  const repeats = {
    across: new RepeatSums(repeatsAt(sums, 'across')),
    down: new RepeatSums(repeatsAt(sums, 'down')),
  };
  return {
    every: 12,
    observe: (frame) => {
      const sample = samplers(frame);
      for (const spectrum of [...Object.values(chroma), ...Object.values(luma)]) spectrum.newFrame();
      const [first, second] = frame.planes;
      if (first) {
        observePlane(first, luma.across, luma.down, sample.luma, null, repeats);
      }
      if (second && sample.chroma) {
        observePlane(second, chroma.across, chroma.down, ...sample.chroma);
        if (plan.interlaced) observeFields(second, chroma.fields, ...sample.chroma);
      }
    },
    sums: () => sums.slice(),
  };
}

interface PlaneSize {
  readonly width: number;
  readonly height: number;
}

/** @param imaginary null: the adjacent line is used instead of a second plane. */
function observePlane(
  { width, height }: PlaneSize,
  across: SpectrumSums,
  down: SpectrumSums,
  real: ReadWindow,
  imaginary: ReadWindow | null,
  repeats: Readonly<Record<RepeatName, RepeatSums>> | null = null,
): void {
  for (const [x0, y0, column, row] of tiles(width, height)) {
    for (let line = 0; line < LINES; line++) {
      const y = y0 + lineOf(line);
      const at = y * width + x0;
      real(at, 1, across.re);
      if (imaginary !== null) imaginary(at, 1, across.im);
      else real(y + 1 < height ? at + width : at, 1, across.im);
      repeats?.across.add(column, across.re);
      across.add();
    }
    for (let line = 0; line < LINES; line++) {
      const x = x0 + lineOf(line);
      const at = y0 * width + x;
      real(at, width, down.re);
      if (imaginary !== null) imaginary(at, width, down.im);
      else real(x + 1 < width ? at + 1 : at, width, down.im);
      repeats?.down.add(row, down.re);
      down.add();
    }
  }
}

function observeFields(
  { width, height }: PlaneSize,
  sums: SpectrumSums,
  real: ReadWindow,
  imaginary: ReadWindow,
): void {
  for (const [x0, row] of tiles(width, Math.floor(height / 2))) {
    for (let line = 0; line < LINES; line++) {
      const at = (2 * row + (line & 1)) * width + x0 + lineOf(line);
      real(at, 2 * width, sums.re);
      imaginary(at, 2 * width, sums.im);
      sums.add();
    }
  }
}

/** One line of a square in each eighth of it, covering all positions of a grid of 8. */
function lineOf(line: number): number {
  return 8 * line + ((3 * line) & 7);
}

/**
 * Left top corners of the squares and their numbers across and down, on multiples of 24 samples; none where
 * the plane is smaller than a square.
 */
function* tiles(
  width: number,
  height: number,
): Generator<readonly [x: number, y: number, column: number, row: number]> {
  const columns = starts(width, TILES_ACROSS);
  for (const [row, y] of starts(height, TILES_DOWN).entries()) {
    for (const [column, x] of columns.entries()) yield [x, y, column, row];
  }
}

function starts(length: number, most: number): number[] {
  const tiles = Math.min(most, Math.floor(length / WINDOW));
  const room = length - WINDOW;
  return Array.from({ length: tiles }, (_, i) => {
    const start = tiles === 1 ? room / 2 : (room * i) / (tiles - 1);
    return 24 * Math.floor(start / 24);
  });
}

function samplers({ plan, planes }: FramePlanes): {
  readonly luma: ReadWindow;
  readonly chroma: readonly [ReadWindow, ReadWindow] | null;
} {
  const codesOf = (index: number): Uint16Array => planes[index]?.codes ?? new Uint16Array(0);
  const plane = (index: number): ReadWindow => {
    const codes = codesOf(index);
    return (at, step, into) => readCodes(codes, at, step, into);
  };
  if (plan.layout.model === 'grey') return { luma: plane(0), chroma: null };
  if (plan.layout.model === 'ycbcr') return { luma: plane(0), chroma: [plane(1), plane(2)] };
  const { kr, kg, kb } = lumaCoefficients(plan.meaning.primaries === 'bt2020' ? 'bt2020nc' : 'bt709');
  const [green, blue, red] = [codesOf(0), codesOf(1), codesOf(2)];
  const lumaAt = (at: number): number => kr * (red[at] ?? 0) + kg * (green[at] ?? 0) + kb * (blue[at] ?? 0);
  const difference = (codes: Uint16Array, share: number): ReadWindow => {
    return (at, step, into) => {
      for (let i = 0, from = at; i < WINDOW; i++, from += step)
        into[i] = ((codes[from] ?? 0) - lumaAt(from)) / (2 * (1 - share));
    };
  };
  return {
    luma: (at, step, into) => {
      for (let i = 0, from = at; i < WINDOW; i++, from += step) into[i] = lumaAt(from);
    },
    chroma: [difference(blue, kb), difference(red, kr)],
  };
}

function readCodes(codes: Uint16Array, at: number, step: number, into: Float64Array): void {
  for (let i = 0, from = at; i < WINDOW; i++, from += step) into[i] = codes[from] ?? 0;
}
