import type { MatrixName } from '../../../../signal/colour-names.js';
import { chromaLevels, lumaLevels } from '../../../../signal/quantise.js';
import { lumaCoefficients } from '../../../../signal/ycbcr.js';
import type { CellGrid } from '../frame-features.js';
import type { PicturePlan } from '../picture-kernel.js';

/** Mean R', G', B' signals of cells. Arrays are reused from frame to frame; of grey pictures the three are one. */
export interface CellMeans {
  readonly red: Float64Array;
  readonly green: Float64Array;
  readonly blue: Float64Array;
  /** Samples of plane 0 in each cell. */
  readonly pixels: Uint32Array;
  /** @param sums of the codes of each plane in each cell, as FrameFeatures has them. */
  observe(sums: readonly Uint32Array[]): void;
}

export function cellMeans(plan: PicturePlan, matrix: MatrixName, grid: CellGrid): CellMeans {
  const { layout, geometry, meaning } = plan;
  const pixels = samplesOfCells(grid, geometry.width, geometry.height, 0, 0);
  const { black, white } = lumaLevels(layout.depth, meaning.range);
  const span = white - black;
  const signals = (): Float64Array => new Float64Array(pixels.length);
  const channel = (sums: Uint32Array | undefined, into: Float64Array): void => {
    for (let cell = 0; cell < into.length; cell++) {
      into[cell] = ((sums?.[cell] ?? 0) / (pixels[cell] ?? 1) - black) / span;
    }
  };

  if (layout.model === 'grey') {
    const grey = signals();
    return { red: grey, green: grey, blue: grey, pixels, observe: ([sums]) => channel(sums, grey) };
  }
  const [red, green, blue] = [signals(), signals(), signals()];
  if (layout.model === 'rgb' || matrix === 'gbr') {
    const observe = ([g, b, r]: readonly Uint32Array[]): void => {
      channel(g, green);
      channel(b, blue);
      channel(r, red);
    };
    return { red, green, blue, pixels, observe };
  }

  const chromaPixels = samplesOfCells(
    grid,
    geometry.width,
    geometry.height,
    layout.chromaShiftX,
    layout.chromaShiftY,
  );
  const { kr, kg, kb } = lumaCoefficients(matrix);
  const { min, neutral, max } = chromaLevels(layout.depth, meaning.range);
  const crToRed = (2 * (1 - kr)) / (max - min);
  const cbToBlue = (2 * (1 - kb)) / (max - min);
  const observe = ([ySums, cbSums, crSums]: readonly Uint32Array[]): void => {
    for (let cell = 0; cell < red.length; cell++) {
      const samples = chromaPixels[cell] ?? 1;
      const y = ((ySums?.[cell] ?? 0) / (pixels[cell] ?? 1) - black) / span;
      const b = y + cbToBlue * ((cbSums?.[cell] ?? 0) / samples - neutral);
      const r = y + crToRed * ((crSums?.[cell] ?? 0) / samples - neutral);
      red[cell] = r;
      blue[cell] = b;
      green[cell] = (y - kr * r - kb * b) / kg;
    }
  };
  return { red, green, blue, pixels, observe };
}

/** Samples of a plane that is 2^shift times smaller in each cell: a sample belongs to the cell of the pixels it was made for. */
function samplesOfCells(
  { size, columns, rows }: CellGrid,
  width: number,
  height: number,
  shiftX: number,
  shiftY: number,
): Uint32Array {
  const along = (cell: number, length: number, shift: number): number =>
    Math.ceil(Math.min(size, length - cell * size) / 2 ** shift);
  return Uint32Array.from(
    { length: columns * rows },
    (_, cell) => along(cell % columns, width, shiftX) * along(Math.floor(cell / columns), height, shiftY),
  );
}
