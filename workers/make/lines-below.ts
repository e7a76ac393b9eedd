import { codecOfEncoder, type PictureEncoderName } from '../../jobs/codecs/picture-codecs.js';

/**
 * Lines below the picture for an encoder that reads beyond its last one: the last line repeated, then cut off
 * again. Cutting moves no sample, so the lines lie where the encoder reads. None where the height fits.
 */
export function linesBelow(encoder: PictureEncoderName, height: number): string[] {
  const { lineStep } = codecOfEncoder(encoder);
  const more = Math.ceil(height / lineStep) * lineStep - height;
  if (more === 0) return [];
  return [
    `pad=w=iw:h=${height + more}:x=0:y=0`,
    `fillborders=bottom=${more}:mode=smear`,
    `crop=w=iw:h=${height}:x=0:y=0:exact=1`,
  ];
}
