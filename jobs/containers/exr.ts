import { type Container, PICTURES } from './container.js';

/** Numbered OpenEXR files. ffmpeg writes the rate into them, and no timecode. */
export const exr = { ...PICTURES, name: 'exr', keepsRate: true } as const satisfies Container;
