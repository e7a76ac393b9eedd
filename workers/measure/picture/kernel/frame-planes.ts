import type { PicturePlan } from '../plan/picture-plan.js';

/**
 * Decoded samples of one plane, row by row without padding. Never above the top code of the depth unless the
 * decoder is broken.
 */
export interface FramePlane {
  readonly codes: Uint16Array;
  readonly width: number;
  readonly height: number;
}

/**
 * The planes of a frame packed as rawvideo packs it: Y', Cb, Cr; G', B', R'; or grey alone. Alpha is left
 * out.
 */
export function planesOf({ geometry, layout }: PicturePlan, codes: Uint16Array): readonly FramePlane[] {
  const { width, height, chromaWidth, chromaHeight, lumaSamples, chromaSamples } = geometry;
  const luma = { codes: codes.subarray(0, lumaSamples), width, height };
  if (layout.model === 'grey') return [luma];
  return [
    luma,
    ...[0, 1].map((index) => ({
      codes: codes.subarray(lumaSamples + index * chromaSamples, lumaSamples + (index + 1) * chromaSamples),
      width: chromaWidth,
      height: chromaHeight,
    })),
  ];
}
