import { chromaLevels } from '../../../signal/quantise.js';
import { planeGeometry, type SampleLayout } from '../../measure/picture/plan/sample-layout.js';

/** One plane of a frame as numbers. */
export interface Plane {
  readonly width: number;
  readonly height: number;
  /** Codes at the scale of the original's depth, row by row. */
  readonly codes: Float32Array;
}

/** Planes in ffmpeg's order: Y, Cb, Cr; G, B, R; or Y alone. */
export type FramePlanes = readonly Plane[];

/** How raw frames of one side lie in memory and what their codes are worth. */
export interface FrameForm {
  readonly layout: SampleLayout;
  readonly width: number;
  readonly height: number;
  readonly range: 'narrow' | 'full';
}

/** Bytes of one raw frame. */
export function frameBytes({ layout, width, height }: FrameForm): number {
  return planeGeometry(layout, width, height).frameBytes;
}

/**
 * Codes of another depth at the scale of `depth`: narrow range scales by powers of two, full range by the
 * largest codes (BT.2100-3, table 9). RGB has no range in ffmpeg's conversions, and scales by the latter.
 */
export function codeScale({ layout, range }: Pick<FrameForm, 'layout' | 'range'>, depth: number): number {
  return range === 'narrow' && layout.model !== 'rgb'
    ? 2 ** (depth - layout.depth)
    : (2 ** depth - 1) / (2 ** layout.depth - 1);
}

/**
 * What is added to scaled codes of a plane. Full range scales by the largest codes, and the code of no
 * colour is no such share of them: 32,768 of 16 bits would be 127.5 of 8, and it is 128 (BT.2100-3,
 * table 9).
 */
function codeOffset(form: Pick<FrameForm, 'layout' | 'range'>, plane: number, depth: number): number {
  if (form.layout.model !== 'ycbcr' || plane === 0) return 0;
  const neutral = (of: number): number => chromaLevels(of, form.range).neutral;
  return neutral(depth) - neutral(form.layout.depth) * codeScale(form, depth);
}

/**
 * The colour planes of one frame, without alpha, to be filled with each frame in turn: asking for memory
 * frame after frame takes longer than filling it.
 *
 * @param count of the first planes; default: all
 */
export function emptyPlanes({ layout, width, height }: FrameForm, count = 3): FramePlanes {
  const { chromaWidth, chromaHeight } = planeGeometry(layout, width, height);
  const light = [width, height] as const;
  const colour = [chromaWidth, chromaHeight] as const;
  const sizes = layout.model === 'grey' ? [light] : [light, colour, colour];
  return sizes
    .slice(0, count)
    .map(([across, down]) => ({ width: across, height: down, codes: new Float32Array(across * down) }));
}

/** Bytes of so many planes of a raw frame, from its first. */
export function planeBytes(planes: FramePlanes, { layout }: FrameForm): number {
  return planes.reduce((sum, { codes }) => sum + codes.length * layout.bytesPerSample, 0);
}

/**
 * Fills planes with a raw frame, as numbers at the scale of `depth`.
 *
 * @param bytes of the frame, or of as many of its planes, at an even place in memory
 */
export function fillPlanes(planes: FramePlanes, bytes: Uint8Array, form: FrameForm, depth: number): void {
  const { bytesPerSample } = form.layout;
  const scale = codeScale(form, depth);
  let at = bytes.byteOffset;
  for (const [plane, { codes }] of planes.entries()) {
    // Little endian, as it is asked of ffmpeg and as every processor is that Node runs on here.
    const coded =
      bytesPerSample === 1
        ? new Uint8Array(bytes.buffer, at, codes.length)
        : new Uint16Array(bytes.buffer, at, codes.length);
    scaleInto(codes, coded, scale, codeOffset(form, plane, depth));
    at += codes.length * bytesPerSample;
  }
}

/** In a function of its own: V8 throws away what it compiled of a long loop that is entered once. */
function scaleInto(
  codes: Float32Array,
  coded: Uint8Array | Uint16Array,
  scale: number,
  offset: number,
): void {
  for (let i = 0; i < codes.length; i++) codes[i] = (coded[i] ?? 0) * scale + offset;
}

/** Names of the planes, in their order. */
export function planeNames(model: SampleLayout['model']): readonly ('Y' | 'Cb' | 'Cr' | 'R' | 'G' | 'B')[] {
  if (model === 'rgb') return ['G', 'B', 'R'];
  return model === 'grey' ? ['Y'] : ['Y', 'Cb', 'Cr'];
}
