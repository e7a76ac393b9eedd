import { type Cube, type LutTable, placeInDomain, UNIT_DOMAIN } from '../lut/cube.js';
import { interpolateLinear } from '../lut/linear-interpolation.js';
import type { Curve, Step } from './step.js';

/**
 * The steps of somebody's `.cube`, from signal to signal. Its own tables are used, not sampled again: no
 * error is added.
 *
 * @param signalOf input of the first step (0..1) to the signal the look is fed with.
 * @param nominalOf what the look gives to the nominal signal of the output. Linear, so that it may be put
 * into the table.
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
