/**
 * What one pass over a frame leaves behind for the measurements that look across frames or across the
 * picture. A kernel fills it for every frame; it is valid until the next frame. All sums are of whole codes
 * at the file's own depth, so they are exact and the same whichever kernel made them.
 *
 * The plane that stands for brightness is Y', and G' of RGB pictures (`planes[0]` as ffmpeg packs both).
 */
export interface FrameFeatures {
  /** Number of the frame in the file, from 0. */
  readonly frame: number;
  /** Samples by code in this frame: Y', Cb, Cr; G', B', R'; or grey alone. */
  readonly histograms: readonly Uint32Array[];
  /** Lowest and highest code of each row of plane 0. */
  readonly rowMin: Uint16Array;
  readonly rowMax: Uint16Array;
  /** The same of each column, over the rows 0, 4, 8, ... */
  readonly columnMin: Uint16Array;
  readonly columnMax: Uint16Array;
  readonly cells: CellSums;
  /** Against the frame before; null for the first. */
  readonly change: CellChange | null;
}

/**
 * Sums over the cells of a grid laid over the picture from its top left. Cells at the right and bottom edge
 * may be cut. Cell (i, j), column i and row j, is entry j * columns + i.
 */
export interface CellGrid {
  /** Pixels of plane 0 on each side of a cell. */
  readonly size: 8 | 16;
  readonly columns: number;
  readonly rows: number;
}

export interface CellSums extends CellGrid {
  /**
   * Sum of the codes of each plane in each cell; a chroma sample belongs to the cell of the pixels it was
   * made for.
   */
  readonly sums: readonly Uint32Array[];
  /**
   * Roughness of plane 0 on the sampled rows (y mod 8 is 2 or 3, neighbours within the picture): |above +
   * below - 2 here|, with the neighbours one row away (`frame`: the other field) and two rows away (`field`:
   * the same field).
   */
  readonly roughness: { readonly frame: Uint32Array; readonly field: Uint32Array };
}

/** Against the frame before (p): c is this frame, y the row. */
export interface CellChange {
  /** Sum of |c - p| over the even and over the odd rows of each cell of plane 0. */
  readonly even: Uint32Array;
  readonly odd: Uint32Array;
  /** Largest |c - p| of the picture. */
  readonly most: number;
  /**
   * Sampled rows as above: |c[y-1] + c[y+1] - 2 p[y]|, apart for even and odd y: how well a line of the frame
   * before fits between the lines of this one. `even`: even lines of p between odd lines of c.
   */
  readonly weave: { readonly even: Uint32Array; readonly odd: Uint32Array };
}

/** Rows the roughness is sampled on. */
export function isSampledRow(y: number, height: number): boolean {
  return ((y & 7) === 2 || (y & 7) === 3) && y + 2 < height;
}

/** Cells of 8 pixels for small pictures, of 16 for those wider than 1024. */
export function cellGrid(width: number, height: number): CellGrid {
  const size = width > 1024 ? 16 : 8;
  return { size, columns: Math.ceil(width / size), rows: Math.ceil(height / size) };
}
