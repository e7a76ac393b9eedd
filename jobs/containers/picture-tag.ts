/** Properties of the picture that container or bitstream can declare. */
export type PictureTag =
  | 'primaries'
  | 'transfer'
  | 'matrix'
  | 'range'
  | 'sample-aspect'
  | 'field-order'
  | 'chroma-siting'
  | 'static-hdr'
  | 'captions';
