/**
 * What is kept of every frame. Shares are fractions of the picture; levels and differences are fractions of
 * the nominal range from black to white of plane 0 (which may be left a little, so a difference can be a
 * little over 1). NaN: does not apply.
 */
export const TEMPORAL_COLUMNS = [
  /**
   * Share that is dark: Y' at or below black + DARK_LEVEL with Cb, Cr near neutral; or R', G' and B' at or
   * below it.
   */
  'darkArea',
  /** Share of plane 0 above black + BRIGHT_LEVEL. */
  'brightArea',
  /** Share of plane 0 that is dark, inside the bars this frame shows. */
  'darkInside',
  /** Narrowest span of levels that holds FLAT_AREA of the samples, in the plane where it is widest. */
  'flatSpread',
  /**
   * Middle of that span in each plane: signal of Y', R', G', B' (0 to 1), of Cb, Cr (-0.5 to 0.5). Order of
   * the planes.
   */
  'flatFirst',
  'flatSecond',
  'flatThird',
  /** Mean of plane 0. */
  'mean',
  /** Mean and largest |difference| of plane 0 from the frame before. */
  'changeMean',
  'changeMost',
  /**
   * Share of the cells the change is spread over: near 1 for noise, near 0 where one small thing moves. NaN
   * for no change.
   */
  'changeSpread',
  /**
   * Mean |difference| of the cell means from the frame 1, 2, 3 and DRIFT_FRAMES before: movement without the
   * noise.
   */
  'cellChange1',
  'cellChange2',
  'cellChange3',
  'cellDrift',
  /**
   * How little the frame is like the one before: 0 the same, about 1 unrelated pictures. See
   * cell-likeness.ts.
   */
  'unlike',
  /** Share of the changed cells that became brighter. */
  'brightened',
  /** Rows or columns from each edge that are black all along; NaN where the whole picture is. */
  'barTop',
  'barBottom',
  'barLeft',
  'barRight',
  /**
   * Rows or columns from each edge to the first that surely is picture. Between the two lies what coding
   * leaves, or a dark picture.
   */
  'pictureTop',
  'pictureBottom',
  'pictureLeft',
  'pictureRight',
  /**
   * Sum of 1 (top), 2 (bottom), 4 (left), 8 (right): sides on which picture begins soon after the black, or
   * at the edge.
   */
  'barEdges',
  /** The same of sides on which it begins at once. */
  'sharpEdges',
  /** And of sides along most of which it stands. */
  'fullEdges',
] as const;
export type TemporalColumn = (typeof TEMPORAL_COLUMNS)[number];

/**
 * EBU QC item 0016B gives 10.5 % and 90 % as its example. A picture with more than a trace of light in it is
 * no black frame: that keeps credits and street lamps at night apart.
 */
export const DARK_LEVEL = 0.105;
export const BRIGHT_LEVEL = 0.25;
/** Area of one colour, as EBU QC item 0016B has it. */
export const FLAT_AREA = 0.9;
/**
 * Bars are held to less than black frames: a matte is black, with no more than what coding adds. Common
 * practice, no source.
 */
export const BAR_LEVEL = 0.03;
/**
 * Frames back to which a still picture must not have moved. A slow zoom changes less from frame to frame than
 * noise does.
 */
export const DRIFT_FRAMES = 12;
