import { open } from 'node:fs/promises';
import { rgbToRgbMatrix } from '../../signal/gamut/convert.js';
import type { PrimariesName } from '../../signal/gamut/gamuts.js';
import { seeded } from '../../signal/lut/lut-error.js';
import type { Light, Scene } from './scenes.js';

/** Sixteen by nine, and a multiple of sixteen both ways: every codec of the demo takes it. */
export const WIDTH = 512;
export const HEIGHT = 288;
/** Of a second. */
const FRAME = 1 / 25;

/** A picture drawn once; several clips can be made of it. */
export interface Picture {
  readonly scene: Scene;
  /** Seconds into the scene at which the take begins. */
  readonly start: number;
  /** Pictures drawn for each frame of a clip: 2 where fields are woven of them. */
  readonly perFrame: 1 | 2;
  readonly primaries: PrimariesName;
  /** Linear light to R'G'B', 0..1 between nominal black and white. */
  readonly signalOf: (light: number) => number;
  /** Light at and above which the picture clips. */
  readonly peak: number;
  /** Film-like grain, the same on R', G' and B': the most of it, as signal. */
  readonly grain: number;
  /** Filters of ffmpeg that make code values of R'G'B'. */
  readonly coding: readonly string[];
}

/** Light of a take before any coding, counted as CTA-861.3 counts MaxCLL and MaxFALL. */
export interface DrawnLight {
  readonly maxCll: number;
  readonly maxFall: number;
}

/** What ffmpeg has to be told of the files of `drawFrames`. */
export const DRAWN_FORMAT: readonly string[] = [
  ...['-f', 'rawvideo', '-pixel_format', 'gbrpf32le', '-video_size', `${WIDTH}x${HEIGHT}`],
];

/** A curve costs a logarithm a sample; a table over the fourth root of light is 0.05 codes off at 10 bits. */
const CURVE_STEPS = 32_768;

function tabulated({ signalOf, peak }: Picture): (light: number) => number {
  const table = Float32Array.from({ length: CURVE_STEPS + 1 }, (_, i) =>
    signalOf(peak * (i / CURVE_STEPS) ** 4),
  );
  const scale = CURVE_STEPS / peak ** 0.25;
  return (light) => {
    const held = light > 0 ? Math.min(light, peak) : 0;
    return table[(Math.sqrt(Math.sqrt(held)) * scale + 0.5) | 0] ?? Number.NaN;
  };
}

/** Draws R'G'B' of `frames` frames as floats, in planes G, B, R. The same picture gives the same bytes. */
export async function drawFrames(
  path: string,
  picture: Picture,
  frames: number,
  signal?: AbortSignal,
): Promise<DrawnLight> {
  const { scene, start, perFrame, primaries, peak, grain } = picture;
  const [[rr, rg, rb], [gr, gg, gb], [br, bg, bb]] = rgbToRgbMatrix('bt709', primaries);
  const curve = tabulated(picture);
  const random = seeded(1);
  const area = WIDTH * HEIGHT;
  const planes = new Float32Array(3 * area);
  const light: Light = [0, 0, 0];
  let maxCll = 0;
  let maxFall = 0;
  const file = await open(path, 'w');
  try {
    for (let n = 0; n < frames * perFrame; n++) {
      signal?.throwIfAborted();
      const shade = scene(start + (n * FRAME) / perFrame);
      let sum = 0;
      for (let i = 0; i < area; i++) {
        const row = (i / WIDTH) | 0;
        shade((i - row * WIDTH + 0.5) / HEIGHT, (row + 0.5) / HEIGHT, light);
        const red = rr * light[0] + rg * light[1] + rb * light[2];
        const green = gr * light[0] + gg * light[1] + gb * light[2];
        const blue = br * light[0] + bg * light[1] + bb * light[2];
        const top = Math.min(peak, Math.max(red, green, blue));
        maxCll = Math.max(maxCll, top);
        sum += top;
        const speck = grain * (2 * random() - 1);
        planes[i] = curve(green) + speck;
        planes[area + i] = curve(blue) + speck;
        planes[2 * area + i] = curve(red) + speck;
      }
      maxFall = Math.max(maxFall, sum / area);
      await file.write(new Uint8Array(planes.buffer));
    }
  } finally {
    await file.close();
  }
  return { maxCll, maxFall };
}
