// The measuring pass over one frame, as WebAssembly with SIMD. The host (wasm-kernel.ts) sets the state by name, fills a frame
// slot and calls `measureFrame`; it then reads the counters and the exported figures. Every figure is the same, bit for bit,
// as that of the oracle in TypeScript (scalar-kernel.ts): tests hold the two together.
import { closeColour, firstMark, lastMark, measureColour, openColour } from './colour';
import { openDisplayed } from './displayed-light';
import { measureFeatures, openFeatures } from './features';
import { countOutside } from './gamut-filter';
import { splitPairs } from './histogram';
import { openLight } from './light';
import { measureLightRow } from './light-rows';
import { openBlock, openFrame, openRow } from './pixels';
import { measureOthers } from './planes';
import { BLOCK } from './sizes';
import { makeSplats } from './splats';
import * as s from './state';

export { leastStep, mostStep } from './colour';
export { brightestBlue, brightestGreen, brightestRed } from './displayed-light';
export { mostChange } from './features';
export { outsideP3 } from './light';
export { widen } from './pixels';
export { FACTOR_BITS, LIGHT_STEP_BITS, POWER_SHIFT, PQ_BIN_BITS, SHORT_BITS } from './shifts';
export { BLOCK, PAIR_ROWS, ROW_ROOM, SHORT_ROW_ROOM, SHORT_STEPS } from './sizes';

/** Pixels outside the tolerance of R 103 after its filter. */
export let outsideR103: i32 = 0;

/** Measures the frame at `frame` against the one at `previous`, 0 for none. Both are planes without padding, of bytes or of 16-bit codes. */
export function measureFrame(frame: usize, previous: usize): void {
  makeSplats();
  openFrame(frame, previous);
  openFeatures();
  openColour();
  openLight();
  openDisplayed();
  let anyMarked = false;
  for (let from = 0; from < s.height; from += BLOCK) {
    const to = min(from + BLOCK, s.height);
    openBlock(from);
    measureFeatures(from, to);
    if (s.model !== 2) measureOthers(from);
    for (let y = from; y < to; y++) {
      openRow(y);
      measureColour(y);
      store<i32>(s.firstMarked + ((<usize>y) << 2), firstMark);
      store<i32>(s.lastMarked + ((<usize>y) << 2), lastMark);
      anyMarked = anyMarked || lastMark >= 0;
      if (s.lightKind > 1 && s.sumsShort === 0) measureLightRow(y);
    }
  }
  closeColour();
  outsideR103 = anyMarked ? countOutside() : 0;
  if (s.countsPairs !== 0) endPairs();
}

function endPairs(): void {
  if (s.model === 1) {
    endPlane(s.redPairs, s.redCounts);
    endPlane(s.greenPairs, s.greenCounts);
    endPlane(s.bluePairs, s.blueCounts);
    return;
  }
  endPlane(s.lumaPairs, s.lumaCounts);
  if (s.model !== 0) return;
  endPlane(s.cbPairs, s.cbCounts);
  endPlane(s.crPairs, s.crCounts);
}

function endPlane(pairs: usize, counts: usize): void {
  splitPairs(pairs, s.codeStride, s.codeBins, counts);
}
