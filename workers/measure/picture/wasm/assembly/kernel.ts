// The measuring pass over one frame, as WebAssembly with SIMD. The host (wasm-kernel.ts) sets the state by name, fills a frame
// slot and calls `measureFrame`; it then reads the counters and the exported figures. Every figure is the same, bit for bit,
// as that of the oracle in TypeScript (scalar-kernel.ts): tests hold the two together.
import { closeColour, firstMark, lastMark, measureColour, openColour } from './colour';
import { measureFeatures, openFeatures } from './features';
import { countOutside } from './gamut-filter';
import { splitPairs } from './histogram';
import { openLight } from './light';
import { measureLightRow, openLightRows } from './light-rows';
import { openFrame, openRow, rowOf, secondPlane, thirdPlane } from './pixels';
import { measurePlane } from './planes';
import * as s from './state';

export { leastStep, mostStep } from './colour';
export { mostChange } from './features';
export { outsideP3 } from './light';
export {
  brightestBlue,
  brightestGreen,
  brightestRed,
  lightSum,
  outsideDisplayedP3,
} from './light-rows';
export { widen } from './planes';
export { FACTOR_BITS, LIGHT_STEP_BITS, PQ_BIN_BITS, SHORT_BITS } from './shifts';

/** Pixels outside the tolerance of R 103 after its filter. */
export let outsideR103: i32 = 0;

/** Measures the frame at `frame` against the one at `previous`, 0 for none. Both are planes of 16-bit codes without padding. */
export function measureFrame(frame: usize, previous: usize): void {
  openFrame(frame);
  openFeatures();
  openColour();
  openLight();
  openLightRows();
  const line = (<usize>s.width) << 1;
  let anyMarked = false;
  for (let y = 0; y < s.height; y++) {
    measureFeatures(y, previous === 0 ? 0 : previous + <usize>y * line);
    openRow(y);
    measureColour(y);
    store<i32>(s.firstMarked + ((<usize>y) << 2), firstMark);
    store<i32>(s.lastMarked + ((<usize>y) << 2), lastMark);
    anyMarked = anyMarked || lastMark >= 0;
    if (s.lightKind > 1) measureLightRow(rowOf(y));
  }
  closeColour();
  outsideR103 = anyMarked ? countOutside() : 0;
  if (s.model !== 2) measureOthers();
  if (s.countsPairs !== 0) endPairs();
}

/** Chroma, or B' and R'. */
function measureOthers(): void {
  const perX = s.cellSize >> s.chromaShiftX;
  const perY = s.cellSize >> s.chromaShiftY;
  const w = s.chromaWidth;
  const h = s.chromaHeight;
  const counted = s.model === 0;
  measurePlane(secondPlane(), w, h, counted ? s.cbCounts : 0, s.cbPairs, s.cellSums1, perX, perY);
  measurePlane(thirdPlane(), w, h, counted ? s.crCounts : 0, s.crPairs, s.cellSums2, perX, perY);
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
