import { type Container, PICTURES } from './container.js';

/** Numbered DPX files (SMPTE ST 268-1). ffmpeg writes neither rate nor timecode into them. */
export const dpx = { ...PICTURES, name: 'dpx', keepsRate: false } as const satisfies Container;
