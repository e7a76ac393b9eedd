import { lumaCoefficients } from '../../../../signal/ycbcr.js';
import type { FramePlanes, PlaneStudy } from '../frame-study.js';
import type { PicturePlan } from '../picture-kernel.js';
import { WINDOW } from './fft64.js';
import { SPECTRUM_LENGTH, SpectrumSums } from './spectrum-sums.js';

/** Directions that are looked at, each a stretch of the sums. Fields: every second line, as interlaced chroma is made. */
export const SPECTRA = [
  'chromaAcross',
  'chromaDown',
  'chromaDownInFields',
  'lumaAcross',
  'lumaDown',
] as const;
export type SpectrumName = (typeof SPECTRA)[number];

/** Where a spectrum lies in the sums of the study. */
export function spectrumAt(sums: Float64Array, name: SpectrumName): Float64Array {
  const at = SPECTRA.indexOf(name) * SPECTRUM_LENGTH;
  return sums.subarray(at, at + SPECTRUM_LENGTH);
}

/** Squares of 64 samples that are looked at in a plane: at most this many across and down, spread evenly. */
const TILES_ACROSS = 12;
const TILES_DOWN = 8;
/** Rows, and columns, of a square that are looked at. */
const LINES = 8;

/** Reads one sample of the picture; x and y within its plane. */
type Sample = (x: number, y: number) => number;

/**
 * Spectra of chroma and luma in every 12th frame, at places that depend on the raster alone. All windows begin on a multiple of 24 samples (in
 * fields, lines of the field), so that the phase of a grid of 2, 3, 4 or 8 samples is the same in all of them.
 */
export function spectrumStudy(plan: PicturePlan): PlaneStudy {
  const sums = new Float64Array(SPECTRA.length * SPECTRUM_LENGTH);
  const of = (name: SpectrumName): SpectrumSums => new SpectrumSums(spectrumAt(sums, name));
  const chroma = { across: of('chromaAcross'), down: of('chromaDown'), fields: of('chromaDownInFields') };
  const luma = { across: of('lumaAcross'), down: of('lumaDown') };
  return {
    every: 12,
    observe: (frame) => {
      const sample = samplers(frame);
      for (const spectrum of [...Object.values(chroma), ...Object.values(luma)]) spectrum.newFrame();
      const [first, second] = frame.planes;
      if (first) {
        observePlane(first, luma.across, luma.down, sample.luma, null);
      }
      if (second && sample.chroma) {
        observePlane(second, chroma.across, chroma.down, ...sample.chroma);
        if (plan.interlaced) observeFields(second, chroma.fields, ...sample.chroma);
      }
    },
    sums: () => sums.slice(),
  };
}

function observePlane(
  { width, height }: { readonly width: number; readonly height: number },
  across: SpectrumSums,
  down: SpectrumSums,
  real: Sample,
  imaginary: Sample | null,
): void {
  for (const [x0, y0] of tiles(width, height)) {
    for (let line = 0; line < LINES; line++) {
      const y = y0 + 8 * line + ((3 * line) & 7);
      const next = Math.min(y + 1, height - 1);
      for (let i = 0; i < WINDOW; i++) {
        across.re[i] = real(x0 + i, y);
        across.im[i] = imaginary === null ? real(x0 + i, next) : imaginary(x0 + i, y);
      }
      across.add();
    }
    for (let line = 0; line < LINES; line++) {
      const x = x0 + 8 * line + ((3 * line) & 7);
      const next = Math.min(x + 1, width - 1);
      for (let i = 0; i < WINDOW; i++) {
        down.re[i] = real(x, y0 + i);
        down.im[i] = imaginary === null ? real(next, y0 + i) : imaginary(x, y0 + i);
      }
      down.add();
    }
  }
}

function observeFields(
  { width, height }: { readonly width: number; readonly height: number },
  sums: SpectrumSums,
  real: Sample,
  imaginary: Sample,
): void {
  for (const [x0, row] of tiles(width, Math.floor(height / 2))) {
    for (let line = 0; line < LINES; line++) {
      const x = x0 + 8 * line + ((3 * line) & 7);
      for (let i = 0; i < WINDOW; i++) {
        const y = 2 * (row + i) + (line & 1);
        sums.re[i] = real(x, y);
        sums.im[i] = imaginary(x, y);
      }
      sums.add();
    }
  }
}

/** Left top corners of the squares, on multiples of 24 samples; none where the plane is smaller than a square. */
function* tiles(width: number, height: number): Generator<readonly [x: number, y: number]> {
  for (const y of starts(height, TILES_DOWN)) for (const x of starts(width, TILES_ACROSS)) yield [x, y];
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
  readonly luma: Sample;
  readonly chroma: readonly [Sample, Sample] | null;
} {
  const plane = (index: number): Sample => {
    const found = planes[index];
    if (!found) return () => 0;
    const { codes, width } = found;
    return (x, y) => codes[y * width + x] ?? 0;
  };
  if (plan.layout.model === 'grey') return { luma: plane(0), chroma: null };
  if (plan.layout.model === 'ycbcr') return { luma: plane(0), chroma: [plane(1), plane(2)] };
  const { kr, kg, kb } = lumaCoefficients(plan.meaning.primaries === 'bt2020' ? 'bt2020nc' : 'bt709');
  const [green, blue, red] = [plane(0), plane(1), plane(2)];
  const luma: Sample = (x, y) => kr * red(x, y) + kg * green(x, y) + kb * blue(x, y);
  return {
    luma,
    chroma: [
      (x, y) => (blue(x, y) - luma(x, y)) / (2 * (1 - kb)),
      (x, y) => (red(x, y) - luma(x, y)) / (2 * (1 - kr)),
    ],
  };
}
