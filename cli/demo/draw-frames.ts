import { open } from 'node:fs/promises';
import type { Light, Scene } from './scenes.js';

/** How drawn light becomes code values. */
export interface PictureCoding {
  readonly width: number;
  readonly height: number;
  /** Bits of a sample in the file. */
  readonly depth: 8 | 10 | 12;
  /** Bits the picture really has; less than `depth` makes an 8-bit picture in a 10-bit file. */
  readonly effectiveDepth?: number;
  /**
   * R'G'B' at full code range (planes in ffmpeg's order G, B, R), or narrow Y'CbCr with these luma weights.
   */
  readonly model:
    | { readonly kind: 'rgb' }
    | { readonly kind: 'ycbcr'; readonly kr: number; readonly kb: number };
  readonly chroma: '4:4:4' | '4:2:2' | '4:2:0';
  /** Linear BT.709 light to the linear light of the coded primaries, row major; null leaves it. */
  readonly gamut: readonly number[] | null;
  /** Linear light to signal: 0..1 between nominal black and white for Y'CbCr, 0..1 of all codes for RGB. */
  readonly signalOf: (light: number) => number;
  /** Light at and above which the picture clips. */
  readonly peak: number;
  /** Film-like grain on luma, in codes at `depth`. */
  readonly grain: number;
}

export interface Take {
  readonly scene: Scene;
  readonly frames: number;
  /** Seconds from one frame to the next. */
  readonly frameSeconds: number;
  /** Seconds into the scene at which the take begins. */
  readonly startSeconds: number;
  /** Each frame is woven from two fields, the top one first. */
  readonly interlaced: boolean;
}

/**
 * What was drawn, from the light itself and before any coding: MaxCLL and MaxFALL as CTA-861.3 counts them.
 */
export interface DrawnLight {
  readonly maxCll: number;
  readonly maxFall: number;
}

/**
 * A curve costs a logarithm a sample; a table over the fourth root of light is fine enough for every depth
 * here.
 */
const CURVE_STEPS = 16384;

function tabulate(coding: PictureCoding): Float64Array {
  const table = new Float64Array(CURVE_STEPS + 2);
  for (let i = 0; i < table.length; i++) {
    const root = Math.min(1, i / CURVE_STEPS);
    table[i] = coding.signalOf(coding.peak * root ** 4);
  }
  return table;
}

/** Draws a take into a file of raw planar frames (little endian above 8 bits). Same input, same bytes. */
export async function drawFrames(
  path: string,
  take: Take,
  coding: PictureCoding,
  signal?: AbortSignal,
): Promise<DrawnLight> {
  const painter = new Painter(coding);
  let maxCll = 0;
  let maxFall = 0;
  const file = await open(path, 'w');
  try {
    for (let frame = 0; frame < take.frames; frame++) {
      signal?.throwIfAborted();
      const t = take.startSeconds + frame * take.frameSeconds;
      const light = painter.paint(take.scene, t, take.interlaced ? t + take.frameSeconds / 2 : t, frame);
      maxCll = Math.max(maxCll, light.peak);
      maxFall = Math.max(maxFall, light.average);
      await file.write(painter.encode());
    }
  } finally {
    await file.close();
  }
  return { maxCll, maxFall };
}

/** One frame at a time: light to three planes of signal at full size, then to code values. */
class Painter {
  readonly #coding: PictureCoding;
  readonly #curve: Float64Array;
  readonly #planes: readonly [Float32Array, Float32Array, Float32Array];
  readonly #out: Uint8Array | Uint16Array;

  constructor(coding: PictureCoding) {
    const { width, height, chroma } = coding;
    const area = width * height;
    const chromaArea = chroma === '4:4:4' ? area : chroma === '4:2:2' ? area / 2 : area / 4;
    this.#coding = coding;
    this.#curve = tabulate(coding);
    this.#planes = [new Float32Array(area), new Float32Array(area), new Float32Array(area)];
    const samples = area + 2 * chromaArea;
    this.#out = coding.depth === 8 ? new Uint8Array(samples) : new Uint16Array(samples);
  }

  paint(scene: Scene, topTime: number, bottomTime: number, frame: number): { peak: number; average: number } {
    const { width, height, gamut, peak: clip, grain, depth, model } = this.#coding;
    const shaders = [scene(topTime), scene(bottomTime)] as const;
    const [p0, p1, p2] = this.#planes;
    const [m0 = 1, m1 = 0, m2 = 0, m3 = 0, m4 = 1, m5 = 0, m6 = 0, m7 = 0, m8 = 1] = gamut ?? [];
    const curve = this.#curve;
    const light: Light = [0, 0, 0];
    const grainStep = grain / (219 * 2 ** (depth - 8));
    let noise = (Math.imul(frame + 1, 0x9e3779b1) | 1) >>> 0;
    let brightest = 0;
    let sum = 0;
    for (let row = 0, i = 0; row < height; row++) {
      const shade = row % 2 === 0 ? shaders[0] : shaders[1];
      const y = (row + 0.5) / height;
      for (let column = 0; column < width; column++, i++) {
        shade((column + 0.5) / height, y, light);
        const lr = light[0];
        const lg = light[1];
        const lb = light[2];
        const r = m0 * lr + m1 * lg + m2 * lb;
        const g = m3 * lr + m4 * lg + m5 * lb;
        const b = m6 * lr + m7 * lg + m8 * lb;
        const top = Math.min(clip, Math.max(r, g, b));
        if (top > brightest) brightest = top;
        sum += top;
        noise ^= noise << 13;
        noise ^= noise >>> 17;
        noise ^= noise << 5;
        const speck = grainStep === 0 ? 0 : ((noise >>> 8) / 8388608 - 1) * grainStep;
        const sr = lookUp(curve, r / clip) + speck;
        const sg = lookUp(curve, g / clip) + speck;
        const sb = lookUp(curve, b / clip) + speck;
        if (model.kind === 'rgb') {
          p0[i] = sg;
          p1[i] = sb;
          p2[i] = sr;
        } else {
          const luma = model.kr * sr + (1 - model.kr - model.kb) * sg + model.kb * sb;
          p0[i] = luma;
          p1[i] = (sb - luma) / (2 * (1 - model.kb));
          p2[i] = (sr - luma) / (2 * (1 - model.kr));
        }
      }
    }
    return { peak: brightest, average: sum / (width * height) };
  }

  /** The frame's bytes, valid until the next call. */
  encode(): Uint8Array {
    const { width, height, chroma, model } = this.#coding;
    const [p0, p1, p2] = this.#planes;
    const area = width * height;
    if (model.kind === 'rgb') {
      const full = 2 ** (this.#coding.effectiveDepth ?? this.#coding.depth) - 1;
      [p0, p1, p2].forEach((plane, index) => {
        this.#quantise(plane, width, height, 1, 1, index * area, full, 0);
      });
    } else {
      const unit = 2 ** ((this.#coding.effectiveDepth ?? this.#coding.depth) - 8);
      const across = chroma === '4:4:4' ? 1 : 2;
      const down = chroma === '4:2:0' ? 2 : 1;
      const chromaArea = area / (across * down);
      this.#quantise(p0, width, height, 1, 1, 0, 219 * unit, 16 * unit);
      this.#quantise(p1, width, height, across, down, area, 224 * unit, 128 * unit);
      this.#quantise(p2, width, height, across, down, area + chromaArea, 224 * unit, 128 * unit);
    }
    return new Uint8Array(this.#out.buffer, this.#out.byteOffset, this.#out.byteLength);
  }

  /**
   * Signal to code values. Subsampled chroma sits on the left pixel of its pair (H.273 location 0: left
   * across, midway down), hence 1-2-1 across and a mean of two rows down. SDI's reserved codes are kept free.
   */
  #quantise(
    plane: Float32Array,
    width: number,
    height: number,
    across: 1 | 2,
    down: 1 | 2,
    offset: number,
    scale: number,
    zero: number,
  ): void {
    const { depth, effectiveDepth = depth, model } = this.#coding;
    const shift = 2 ** (depth - effectiveDepth);
    const reserved = model.kind === 'ycbcr' ? 2 ** (effectiveDepth - 8) : 0;
    const least = reserved;
    const most = 2 ** effectiveDepth - 1 - reserved;
    let to = offset;
    for (let y = 0; y < height; y += down) {
      for (let x = 0; x < width; x += across) {
        const at = y * width + x;
        let value = plane[at] ?? 0;
        if (across === 2) value = threeTap(plane, at, x, width);
        if (down === 2) value = (value + threeTap(plane, at + width, x, width)) / 2;
        const code = Math.min(most, Math.max(least, Math.round(value * scale + zero)));
        this.#out[to++] = code * shift;
      }
    }
  }
}

/** Signal of a light given as a fraction of the peak, between two steps of the table. */
function lookUp(curve: Float64Array, fraction: number): number {
  if (fraction <= 0) return curve[0] ?? 0;
  if (fraction >= 1) return curve[CURVE_STEPS] ?? 0;
  const at = Math.sqrt(Math.sqrt(fraction)) * CURVE_STEPS;
  const index = at | 0;
  const low = curve[index] ?? 0;
  return low + ((curve[index + 1] ?? low) - low) * (at - index);
}

function threeTap(plane: Float32Array, at: number, x: number, width: number): number {
  const here = plane[at] ?? 0;
  const left = x === 0 ? here : (plane[at - 1] ?? here);
  const right = x === width - 1 ? here : (plane[at + 1] ?? here);
  return (left + 2 * here + right) / 4;
}
