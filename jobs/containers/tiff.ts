import { type Container, PICTURES } from './container.js';

/** Numbered TIFF files (TIFF 6.0), which have no place for rate and timecode. */
export const tiff = { ...PICTURES, name: 'tiff', keepsRate: false } as const satisfies Container;
