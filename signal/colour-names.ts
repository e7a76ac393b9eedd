/**
 * The names of colour this project knows, in one place.
 *
 * Standard colour uses the code-point names of ITU-T H.273 as ffmpeg spells them, so a tag read from a file
 * and a name in a target are the same word. Camera curves and gamuts have no H.273 code point; they keep the
 * name their published document gives them.
 */
export const TRANSFER_NAMES = [
  'bt709',
  'smpte170m',
  'bt2020-10',
  'bt2020-12',
  'bt1886',
  'iec61966-2-1',
  'linear',
  'smpte2084',
  'arib-std-b67',
  'S-Log3',
  'ACEScct',
  'LogC3',
  'LogC4',
  'V-Log',
  'C-Log2',
  'C-Log3',
  'F-Log',
  'F-Log2',
  'N-Log',
  'Log3G10',
] as const;
export type TransferName = (typeof TRANSFER_NAMES)[number];

export const PRIMARIES_NAMES = [
  'bt709',
  'smpte170m',
  'bt470bg',
  'bt2020',
  'smpte432',
  'AP0',
  'AP1',
  'S-Gamut3',
  'S-Gamut3.Cine',
  'AWG3',
  'AWG4',
  'V-Gamut',
  'C-Gamut',
  'F-Gamut',
  'N-Gamut',
  'RWG',
] as const;
export type PrimariesName = (typeof PRIMARIES_NAMES)[number];

/** Y'CbCr matrices; `gbr` is RGB carried as it is. H.273 names. */
export const MATRIX_NAMES = ['bt709', 'bt2020nc', 'smpte170m', 'bt470bg', 'gbr'] as const;
export type MatrixName = (typeof MATRIX_NAMES)[number];

/** The two quantisation ranges of BT.2100. */
export const RANGE_NAMES = ['narrow', 'full'] as const;
export type RangeName = (typeof RANGE_NAMES)[number];

/** Curves whose code values carry scene light of a camera, to be rendered before anybody looks at them. */
export const SCENE_LOG_TRANSFERS: ReadonlySet<TransferName> = new Set<TransferName>([
  'S-Log3',
  'ACEScct',
  'LogC3',
  'LogC4',
  'V-Log',
  'C-Log2',
  'C-Log3',
  'F-Log',
  'F-Log2',
  'N-Log',
  'Log3G10',
]);
