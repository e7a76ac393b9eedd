import { type Cube, type LutTable, placeInDomain, UNIT_DOMAIN } from '../lut/cube.js';
import { interpolateLinear } from '../lut/linear-interpolation.js';
import type { RangeName } from '../quantise.js';
import { isCameraLog } from '../transfer/transfer-functions.js';
import {
  codeFractionOfNominal,
  familyOf,
  nominalOfCodeFraction,
  nominalOfSignal,
  type RenderingColour,
} from './rendering-colour.js';
import type { Curve, Step } from './step.js';

/** How a look is used. */
export interface LookUse {
  /**
   * `instead` of the rendering, applied to the input signal; `after` it, applied to the output signal.
   */
  readonly place: 'instead' | 'after';
  /**
   * What 0 to 1 of its table means: `full`, codes 0 to 1023 of 10 bits; `narrow`, black to white (64 to 940).
   */
  readonly scale: { readonly input: RangeName; readonly output: RangeName };
}

/**
 * Place of a look without declared input: applied to camera log directly, to other pictures after the
 * rendering.
 */
export function usualPlace(from: Pick<RenderingColour, 'transfer'>): LookUse['place'] {
  return familyOf(from.transfer) === 'scene' ? 'instead' : 'after';
}

/**
 * The scale of a look that declares none: code values for camera log, black to white for all others (common
 * practice, no source).
 */
export function usualScale({ transfer }: Pick<RenderingColour, 'transfer'>): RangeName {
  return isCameraLog(transfer) ? 'full' : 'narrow';
}

/** The signal of a curve on the scale of a look, and the result of a look as nominal signal of the output. */
export function onScale(signal: number, { transfer }: RenderingColour, scale: RangeName): number {
  if (scale === usualScale({ transfer })) return signal;
  return scale === 'narrow'
    ? nominalOfCodeFraction(signal, 'narrow')
    : codeFractionOfNominal(signal, 'narrow');
}
export function nominalOfScale(value: number, to: RenderingColour, scale: RangeName): number {
  if (scale === usualScale(to)) return nominalOfSignal(value, to);
  const signal =
    scale === 'narrow' ? codeFractionOfNominal(value, 'narrow') : nominalOfCodeFraction(value, 'narrow');
  return nominalOfSignal(signal, to);
}

/**
 * The steps of a given `.cube`, from signal to signal. Its own tables are used, not resampled: no error is
 * added.
 *
 * @param signalOf input of the first step (0..1) to the input signal of the look. @param nominalOf result of
 * the look to the nominal signal of the output. Linear, so that it can be applied to the table.
 */
export function lookSteps(look: Cube, signalOf: Curve, nominalOf: Curve): readonly Step[] {
  const { curve, cube } = look;
  const shape = (signal: number, channel: 0 | 1 | 2): number =>
    curve ? interpolateLinear(curve, [signal, signal, signal])[channel] : signal;
  if (cube === null) {
    if (curve === null) throw new RangeError('a look without a table');
    return [eachChannel('the look', (value, channel) => nominalOf(shape(signalOf(value), channel)))];
  }
  const entry = eachChannel('input of the look', (value, channel) =>
    placeInDomain(shape(signalOf(value), channel), cube.domainMin[channel], cube.domainMax[channel]),
  );
  const table: LutTable = { size: cube.size, values: cube.values.map(nominalOf), ...UNIT_DOMAIN };
  return [entry, { kind: 'cube', what: 'the look', table }];
}

function eachChannel(what: string, map: (value: number, channel: 0 | 1 | 2) => number): Step {
  return { kind: 'curve', what, curves: [(v) => map(v, 0), (v) => map(v, 1), (v) => map(v, 2)] };
}
