import type { Colour } from '../../../jobs/manifest/colour.js';
import type { VideoFacts } from '../../../jobs/manifest/facts.js';
import { parseRational } from '../../../signal/rational.js';
import { codeScale } from '../../measure/picture/plan/code-scale.js';
import { type PicturePlan, picturePlan } from '../../measure/picture/plan/picture-plan.js';
import type { FillRow } from '../../measure/picture/rows/gamut-filter.js';
import { planeRows } from '../../measure/picture/rows/plane-rows.js';
import { drawMarks } from './draw-marks.js';
import { FlashFinder } from './find-flash.js';
import { findOffending } from './find-offending.js';
import type { FlashMark, FrameMark, Marked } from './mark.js';
import { reduceMask, reducePicture, type Size, stillSize } from './reduce.js';
import { type Showing, showInSdr } from './show-in-sdr.js';

/** A frame as it will stand in the report, before it is compressed. */
export interface DrawnFrame extends Size {
  readonly frame: number;
  /** R'G'B', 8 bits each, BT.709 full range. */
  readonly rgb: Uint8Array;
  /** Share of the whole picture's pixels that offend; 0 where nothing is to be marked. */
  readonly area: number;
  /** Of the frame, where its light was looked at. */
  readonly peakNits: number | null;
  /** How it was rendered, or that it was not. */
  readonly rendered: string;
}

/** A few lines at the very edge would be lost in an outline that lies close to them. */
const BLANK_REACH = 7;

/** Draws frames of one stream. */
export interface FramePainter {
  /** To be filled with one frame as ffmpeg's rawvideo packs it: planes without padding, little endian. */
  readonly bytes: Uint8Array;
  draw(frame: number, mark: FrameMark): DrawnFrame;
  /** Begins to track a second of frames; at the end it draws the worst of them. */
  track(mark: FlashMark): FrameTracker;
}

export interface FrameTracker {
  /** Looks at the frame that fills `bytes`. */
  see(frame: number): void;
  /** Throws Error where nothing flashed. */
  draw(): DrawnFrame;
}

/**
 * Throws Error where the pixel format cannot be read without changing samples.
 *
 * @param colour what the code values mean; null: as the file's tags say
 */
export function framePainter(video: VideoFacts, colour: Colour | null): FramePainter {
  const plan = picturePlan(video, colour);
  if ('unknown' in plan) throw new Error(plan.unknown);
  const { geometry, layout } = plan;
  const bytes = new Uint8Array(geometry.frameBytes);
  const isWide = layout.bytesPerSample === 2;
  const codes = isWide
    ? new Uint16Array(bytes.buffer, 0, geometry.frameBytes / 2)
    : new Uint16Array(geometry.frameBytes);
  const picture = readable(plan, codes);
  const showing: Showing = showInSdr(plan.meaning);
  const size = stillSize(geometry, parseRational(video.sampleAspect ?? '1/1') ?? { num: 1, den: 1 });
  const drawn = (frame: number, marked: Marked, reach?: number): DrawnFrame => {
    const rgb = showing.show(reducePicture(picture.plan, picture.fill, size));
    if (marked.mask !== null) drawMarks(rgb, reduceMask(marked.mask, geometry, size), size, reach);
    return {
      ...turned(rgb, size, video.rotation),
      frame,
      area: marked.pixels / geometry.lumaSamples,
      peakNits: marked.peakNits,
      rendered: showing.rendered,
    };
  };
  const read = (): void => {
    if (!isWide) codes.set(bytes);
  };
  return {
    bytes,
    draw(frame, mark) {
      read();
      const reach = mark.kind === 'blank-lines' ? BLANK_REACH : undefined;
      return drawn(frame, findOffending(plan, codes, picture.fill, mark), reach);
    },
    track(mark) {
      const finder = new FlashFinder(plan, video, mark);
      const worst = new Uint8Array(bytes.length);
      return {
        see(frame) {
          read();
          if (finder.see(frame, codes)) worst.set(bytes);
        },
        draw() {
          const found = finder.worst;
          if (found === null) throw new Error('nothing flashes there');
          bytes.set(worst);
          read();
          return drawn(found.frame, { mask: found.mask, pixels: found.pixels, peakNits: null });
        },
      };
    },
  };
}

/** A picture whose matrix nobody knows is shown by its luma alone. */
function readable(plan: PicturePlan, codes: Uint16Array): { plan: PicturePlan; fill: FillRow } {
  const fill = planeRows(plan, codes);
  if (fill !== null) return { plan, fill };
  const grey: PicturePlan = {
    ...plan,
    layout: { ...plan.layout, model: 'grey' },
    meaning: { ...plan.meaning, matrix: 'gbr' },
    scale: codeScale(plan.layout.depth, plan.meaning.range, 'gbr'),
  };
  const luma = planeRows(grey, codes);
  if (luma === null) throw new Error('grey rows need no matrix');
  return { plan: grey, fill: luma };
}

/** Turned upright, clockwise. Other angles than quarter turns are left as they are. */
function turned(rgb: Uint8Array, size: Size, rotation: number): Size & { rgb: Uint8Array } {
  if (rotation !== 90 && rotation !== 180 && rotation !== 270) return { rgb, ...size };
  const { width, height } = size;
  const upright = new Uint8Array(rgb.length);
  const turnedWidth = rotation === 180 ? width : height;
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const [toX, toY] =
        rotation === 90
          ? [height - 1 - y, x]
          : rotation === 180
            ? [width - 1 - x, height - 1 - y]
            : [y, width - 1 - x];
      const from = (y * width + x) * 3;
      upright.set(rgb.subarray(from, from + 3), (toY * turnedWidth + toX) * 3);
    }
  }
  return { rgb: upright, width: turnedWidth, height: rotation === 180 ? height : width };
}
