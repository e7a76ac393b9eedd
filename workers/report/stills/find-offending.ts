import type { Vector3 } from '../../../signal/matrix3.js';
import { exactPeak, type LightPlan, P3_FLOOR_NITS, P3_TOLERANCE } from '../../measure/picture/plan/light.js';
import type { PicturePlan } from '../../measure/picture/plan/picture-plan.js';
import { isReserved } from '../../measure/picture/plan/signal-limits.js';
import { LIGHT_STEP_BITS } from '../../measure/picture/plan/step-bits.js';
import { type FillRow, GamutFilter, type RgbRow, rgbRow } from '../../measure/picture/rows/gamut-filter.js';
import { chromaRowOf } from '../../measure/picture/rows/plane-rows.js';
import { findBlackLines } from './find-black-lines.js';
import type { FrameMark, Marked } from './mark.js';

type DisplayLight = Exclude<LightPlan, { kind: 'scene' }>;

/**
 * The pixels of a frame that offend, by the rules the frame was measured by.
 *
 * @param codes the planes, as the plan's layout has them
 * @param fill the plan's rows of R'G'B'
 * Throws Error where the plan does not give what the mark needs, such as light of an SDR picture.
 */
export function findOffending(plan: PicturePlan, codes: Uint16Array, fill: FillRow, mark: FrameMark): Marked {
  switch (mark.kind) {
    case 'nothing':
      return { mask: null, pixels: 0, peakNits: null };
    case 'signal-range':
      return outsideRange(plan, fill);
    case 'reserved-codes':
      return reserved(plan, codes);
    case 'brighter-than':
      return brighter(plan, fill, (nits) => nits > mark.nits, mark.nits);
    case 'peak':
      return brighter(plan, fill, (nits) => nits >= mark.nits, mark.nits);
    case 'outside-p3':
      return outsideP3(plan, fill);
    case 'bars':
    case 'blank-lines':
      return findBlackLines(plan, codes, mark);
  }
}

function outsideRange(plan: PicturePlan, fill: FillRow): Marked {
  const { geometry, limits, interlaced } = plan;
  if (limits === null) throw new Error('a picture without R′G′B′ has no tolerance to leave');
  const { width, height } = geometry;
  const filter = new GamutFilter({ width, height, interlaced }, limits, fill);
  eachRow(plan, fill, ({ red, green, blue }, y) => {
    let first = -1;
    let last = -1;
    for (let x = 0; x < width; x++) {
      const r = red[x] ?? 0;
      const g = green[x] ?? 0;
      const b = blue[x] ?? 0;
      if (Math.max(r, g, b) <= limits.max && Math.min(r, g, b) >= limits.min) continue;
      if (first < 0) first = x;
      last = x;
    }
    if (first >= 0) filter.mark(y, first, last);
  });
  const mask = new Uint8Array(width * height);
  const pixels = filter.countOutside((x, y) => {
    mask[y * width + x] = 1;
  });
  return { mask, pixels, peakNits: null };
}

/** A chroma sample offends in every pixel it colours. */
function reserved(plan: PicturePlan, codes: Uint16Array): Marked {
  const { geometry, layout, interlaced } = plan;
  const { width, height, lumaSamples, chromaWidth, chromaHeight, chromaSamples } = geometry;
  const chromaRow = chromaRowOf(layout.chromaShiftY, interlaced, chromaHeight);
  const planes = layout.model === 'grey' ? 0 : 2;
  const mask = new Uint8Array(lumaSamples);
  let pixels = 0;
  for (let y = 0; y < height; y++) {
    const chromaStart = lumaSamples + chromaRow(y) * chromaWidth;
    for (let x = 0; x < width; x++) {
      const at = y * width + x;
      let offends = isReserved(codes[at] ?? 0, layout.depth);
      const chromaAt = chromaStart + (x >> layout.chromaShiftX);
      for (let plane = 0; plane < planes; plane++) {
        offends ||= isReserved(codes[chromaAt + plane * chromaSamples] ?? 0, layout.depth);
      }
      if (offends) {
        mask[at] = 1;
        pixels++;
      }
    }
  }
  return { mask, pixels, peakNits: null };
}

/**
 * No pixel is brighter than a grey of its largest channel: only those whose grey reaches `from` are looked at
 * closely.
 */
function brighter(
  plan: PicturePlan,
  fill: FillRow,
  offends: (nits: number) => boolean,
  from: number,
): Marked {
  const { geometry, scale } = plan;
  const light = displayLight(plan);
  const { width, height } = geometry;
  const gate = firstStepAt(light, plan, from);
  const mask = new Uint8Array(width * height);
  let pixels = 0;
  let peakNits = 0;
  eachRow(plan, fill, ({ red, green, blue }, y) => {
    for (let x = 0; x < width; x++) {
      const rgb: Vector3 = [red[x] ?? 0, green[x] ?? 0, blue[x] ?? 0];
      if (Math.max(rgb[0], rgb[1], rgb[2]) < gate) continue;
      const nits = exactPeak(light, rgb, scale);
      if (nits > peakNits) peakNits = nits;
      if (!offends(nits)) continue;
      mask[y * width + x] = 1;
      pixels++;
    }
  });
  return { mask, pixels, peakNits };
}

/** The lowest step whose grey shows at least so much light. */
function firstStepAt(light: DisplayLight, { scale }: PicturePlan, nits: number): number {
  let below = scale.least - 1;
  let reaches = scale.most;
  while (reaches - below > 1) {
    const middle = Math.floor((below + reaches) / 2);
    if (exactPeak(light, [middle, middle, middle], scale) >= nits * (1 - 1e-9)) reaches = middle;
    else below = middle;
  }
  return reaches;
}

function outsideP3(plan: PicturePlan, fill: FillRow): Marked {
  const { geometry, scale } = plan;
  const light = displayLight(plan);
  if (light.p3 === null) throw new Error('only a BT.2020 picture is held against P3');
  const [toRed, toGreen, toBlue] = light.p3.toP3;
  const { width, height } = geometry;
  const linear = (step: number): number => light.linear[(step - light.tableFrom) >> LIGHT_STEP_BITS] ?? 0;
  const mask = new Uint8Array(width * height);
  let pixels = 0;
  eachRow(plan, fill, ({ red, green, blue }, y) => {
    for (let x = 0; x < width; x++) {
      const r = linear(red[x] ?? 0);
      const g = linear(green[x] ?? 0);
      const b = linear(blue[x] ?? 0);
      const limit = -P3_TOLERANCE * Math.max(r, g, b);
      const isInside =
        toRed[0] * r + toRed[1] * g + toRed[2] * b >= limit &&
        toGreen[0] * r + toGreen[1] * g + toGreen[2] * b >= limit &&
        toBlue[0] * r + toBlue[1] * g + toBlue[2] * b >= limit;
      if (isInside) continue;
      // PQ's linear light is cd/m2 already; HLG's becomes so by its display.
      const nits =
        light.kind === 'absolute'
          ? Math.max(r, g, b)
          : exactPeak(light, [red[x] ?? 0, green[x] ?? 0, blue[x] ?? 0], scale);
      if (nits < P3_FLOOR_NITS) continue;
      mask[y * width + x] = 1;
      pixels++;
    }
  });
  return { mask, pixels, peakNits: null };
}

function displayLight({ light }: PicturePlan): DisplayLight {
  if (light === null || light.kind === 'scene') throw new Error('the picture shows no light of its own');
  return light;
}

function eachRow(plan: PicturePlan, fill: FillRow, see: (row: RgbRow, y: number) => void): void {
  const { width, height } = plan.geometry;
  const row = rgbRow(width);
  for (let y = 0; y < height; y++) {
    fill(y, 0, width, row);
    see(row, y);
  }
}
