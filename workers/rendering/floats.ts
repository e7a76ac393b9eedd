/** Pictures of floats, and the format whose 16-bit codes stand for them; their alpha is dropped. */
const CODES_OF: ReadonlyMap<string, string> = new Map([
  ['gbrpf32le', 'gbrp16le'],
  ['gbrpf32be', 'gbrp16le'],
  ['gbrapf32le', 'gbrp16le'],
  ['gbrapf32be', 'gbrp16le'],
]);

/** The format of its codes for a picture of floats; null for any other. */
export function codesOfFloats(pixelFormat: string): string | null {
  return CODES_OF.get(pixelFormat) ?? null;
}

/**
 * Floats to the nearest 16-bit code. By zscale: swscale is off by up to five codes there (ffmpeg 5.1,
 * measured).
 */
export const FLOATS_TO_CODES: readonly string[] = ['zscale=min=gbr:m=gbr:dither=none', 'format=gbrp16le'];
