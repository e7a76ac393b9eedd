/** What a file can say of its picture beside the samples, in the container or in the bitstream. */
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
