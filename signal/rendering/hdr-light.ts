import type { Vector3 } from '../matrix3.js';
import { BT1886 } from '../transfer/bt1886.js';
import { HLG } from '../transfer/hlg.js';
import { hlgOotf } from '../transfer/hlg-ootf.js';
import { PQ } from '../transfer/pq.js';
import type { ColourFamily } from '../transfer/transfer-function.js';
import { convertSignalPrimaries } from './linear-conversion.js';
import { BRIDGE_DISPLAY } from './reference-levels.js';
import type { RenderingColour } from './rendering-colour.js';
import { type Curve, type Step, sameCurve, shaped, unshaped } from './step.js';

export interface DisplaySource extends RenderingColour {
  readonly family: Exclude<ColourFamily, 'scene'>;
  /** Code fraction 0..1 to the curve's signal, exposure correction included. */
  readonly signal: Curve;
}
/** Signal to the light its curve defines, and back. */
export const HDR_CURVES = {
  pq: { decode: PQ.eotf, encode: PQ.inverseEotf, what: 'PQ' },
  hlg: {
    decode: (signal: number) => HLG.inverseOetf(Math.max(signal, 0)),
    encode: (light: number) => HLG.oetf(Math.max(light, 0)),
    what: 'HLG',
  },
} as const;

export interface HdrLight {
  readonly steps: readonly Step[];
  /** Each channel of the result of the steps, to light. */
  readonly decode: Curve;
  /** That light to display light in cd/m2, BT.2020 primaries. */
  readonly nitsOf: (light: Vector3) => Vector3;
}

/**
 * PQ as light of 0 to `peak` on a power scale, on which every mapping that follows is smooth. The limit is at
 * the edge of the following table, not inside its cells.
 */
export function pqLight(source: DisplaySource, peak: number): HdrLight {
  const before = toBt2020(source, 'pq');
  const onPowerScale: Curve = (value) =>
    BT1886.inverseEotf(Math.min(PQ.eotf(before.signal(value)), peak) / peak);
  return {
    steps: [...before.steps, sameCurve(`PQ to light of up to ${peak} cd/m2`, onPowerScale)],
    decode: (value) => BT1886.eotf(value) * peak,
    nitsOf: (light) => light,
  };
}

/** Signals up to the codes above nominal white. */
export const HLG_HEADROOM = 1.1;

/** HLG scene light up to a signal, shaped; the display's OOTF, which needs all channels, is in `nitsOf`. */
export function hlgLight(source: DisplaySource, maxSignal: number): HdrLight {
  const before = toBt2020(source, 'hlg');
  const maxLight = HLG.inverseOetf(maxSignal);
  const light: Curve = (value) => HLG.inverseOetf(Math.min(Math.max(before.signal(value), 0), maxSignal));
  return {
    steps: [
      ...before.steps,
      sameCurve('HLG to shaped scene light', (value) => shaped(light(value) / maxLight)),
    ],
    decode: (value) => unshaped(value) * maxLight,
    nitsOf: (scene) => hlgOotf(scene, BRIDGE_DISPLAY),
  };
}

/**
 * The steps to BT.2020, none where the signal is BT.2020 already, and how to get the signal of the curve from
 * their result.
 */
function toBt2020(source: DisplaySource, family: 'pq' | 'hlg'): { steps: readonly Step[]; signal: Curve } {
  if (source.primaries === 'bt2020') return { steps: [], signal: source.signal };
  const { decode, encode, what } = HDR_CURVES[family];
  const curve = { decode: (value: number) => decode(source.signal(value)), encode, what };
  return { steps: convertSignalPrimaries(curve, source.primaries, 'bt2020'), signal: (value) => value };
}
