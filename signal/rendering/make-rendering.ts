import type { Cube } from '../lut/cube.js';
import type { Vector3 } from '../matrix3.js';
import type { RangeName } from '../quantise.js';
import type { SceneTransfer } from '../transfer/transfer-function.js';
import { transferFunction } from '../transfer/transfer-functions.js';
import { type HdrToSdrMethod, hdrToHdr, hdrToSdr, sdrToHdr, sdrToSdr } from './display-rendering.js';
import { type LookUse, lookSteps, nominalOfScale, onScale, usualPlace, usualScale } from './look.js';
import {
  codeFractionOfNominal,
  familyOf,
  nominalOfCodeFraction,
  nominalOfSignal,
  type RenderingColour,
  signalOfNominal,
} from './rendering-colour.js';
import { type RenderingPlan, sceneToHdr, sceneToScene, sceneToSdr } from './scene-rendering.js';
import { sdrDisplay } from './sdr-display.js';
import { applyStep, type Curve, type Step } from './step.js';

export interface RenderingRequest {
  readonly from: RenderingColour;
  readonly to: RenderingColour;
  /** Stops, applied in scene-linear light before anything else. */
  readonly exposure?: number;
  readonly look?: Cube | null;
  /**
   * By default the look replaces the rendering for camera log, in code values; other clips are rendered
   * first, and the look is applied to the signal of the target, black to white.
   */
  readonly lookUse?: LookUse;
  /** How HDR becomes SDR; default A. */
  readonly hdrToSdr?: HdrToSdrMethod;
}

export interface Rendering {
  readonly from: RenderingColour;
  readonly to: RenderingColour;
  /**
   * R'G'B' signal of `from` to R'G'B' signal of `to`, in double precision; signals as the curves define them.
   */
  readonly apply: (signal: Vector3) => Vector3;
  /**
   * From code fraction (0..1 of full-scale code of `from`) to nominal signal of `to`. Empty: nothing changes.
   */
  readonly steps: readonly Step[];
  /** One sentence for people. */
  readonly description: string;
  /** Documents followed. */
  readonly source: string;
  /** What users must know: limits and assumptions. */
  readonly notes: readonly string[];
}

/** The requested rendering is not possible. */
export class RenderingError extends Error {
  constructor(message: string) {
    super(message);
    this.name = 'RenderingError';
  }
}

/**
 * The rendering from one colour to another. Throws RenderingError where there is none: a picture made for a
 * display cannot become camera log, since its rendering cannot be undone.
 */
export function makeRendering(request: RenderingRequest): Rendering {
  const { from, to, exposure = 0, look = null } = request;
  if (!Number.isFinite(exposure)) throw new RenderingError(`an exposure of ${exposure} stops`);
  const signal = exposedSignal(from, 2 ** exposure);
  const plan = planOf(request, signal);
  const use = request.lookUse ?? usualUse(from, to);
  const lookIsRendering = look !== null && use.place === 'instead';
  const exposed = exposure === 0 ? '' : `, exposed ${exposure > 0 ? '+' : ''}${exposure} stops before it`;
  if (look === null) return wrap(from, to, { ...plan, description: `${plan.description}${exposed}` });
  const steps = lookIsRendering
    ? lookSteps(
        look,
        (value) => onScale(signal(value), from, use.scale.input),
        (value) => nominalOfScale(value, to, use.scale.output),
      )
    : [
        ...(plan.steps.length > 0 ? plan.steps : identityEntry(from)),
        ...lookSteps(
          look,
          (value) => onScale(signalOfNominal(value, to), to, use.scale.input),
          (value) => nominalOfScale(value, to, use.scale.output),
        ),
      ];
  return wrap(from, to, {
    steps,
    description: lookIsRendering
      ? `${from.transfer} signal through the look to ${to.transfer}/${to.primaries}${exposed}`
      : `${plan.description}${exposed}; then the look`,
    source: lookIsRendering || plan.source === '' ? 'the look file' : `${plan.source}; the look file`,
    notes: [...(lookIsRendering ? [] : plan.notes), ...lookNotes(from, to, use)],
  });
}

function planOf(
  { from, to, exposure = 0, hdrToSdr: method = 'A' }: RenderingRequest,
  signal: Curve,
): RenderingPlan {
  const family = familyOf(from.transfer);
  const target = familyOf(to.transfer);
  if (exposure === 0 && showsTheSame(from, to)) {
    return { steps: [], description: 'code values mean the same: nothing changes', source: '', notes: [] };
  }
  if (family === 'scene') {
    const curve = sceneCurve(from);
    const source = { ...from, curve, reflectance: (fraction: number) => curve.inverseOetf(signal(fraction)) };
    if (target === 'scene') return sceneToScene(source, to, sceneCurve(to));
    return target === 'sdr' ? sceneToSdr(source, to) : sceneToHdr(source, { ...to, family: target });
  }
  if (target === 'scene') {
    throw new RenderingError(
      `${from.transfer} to ${to.transfer}: a picture made for a display cannot become camera log again; choose a display colour`,
    );
  }
  const source = { ...from, family, signal };
  if (family === 'sdr') {
    return target === 'sdr' ? sdrToSdr(source, to) : sdrToHdr(source, { ...to, family: target });
  }
  return target === 'sdr' ? hdrToSdr(source, to, method) : hdrToHdr(source, { ...to, family: target });
}

function showsTheSame(from: RenderingColour, to: RenderingColour): boolean {
  if (from.primaries !== to.primaries) return false;
  if (from.transfer === to.transfer) return familyOf(from.transfer) !== 'scene' || from.range === to.range;
  const bothSdr = familyOf(from.transfer) === 'sdr' && familyOf(to.transfer) === 'sdr';
  return bothSdr && sdrDisplay(from.transfer).name === sdrDisplay(to.transfer).name;
}

/**
 * Code fraction to the curve's signal with the exposure correction in it: in scene light where the curve
 * defines it, in display light for curves that are defined by the display (PQ, BT.1886, sRGB).
 */
function exposedSignal(from: RenderingColour, gain: number): Curve {
  const read: Curve = (fraction) => signalOfNominal(nominalOfCodeFraction(fraction, from.range), from);
  if (gain === 1) return read;
  const curve = transferFunction(from.transfer);
  return curve.referred === 'scene'
    ? (fraction) => curve.oetf(curve.inverseOetf(read(fraction)) * gain)
    : (fraction) => curve.inverseEotf(curve.eotf(read(fraction)) * gain);
}

function sceneCurve({ transfer }: RenderingColour): SceneTransfer {
  const curve = transferFunction(transfer);
  if (curve.referred !== 'scene') throw new RenderingError(`${transfer} has no scene light`);
  return curve;
}

function identityEntry({ range }: RenderingColour): readonly Step[] {
  const read: Curve = (fraction) => nominalOfCodeFraction(fraction, range);
  return [{ kind: 'curve', what: 'code to signal', curves: [read, read, read] }];
}

function usualUse(from: RenderingColour, to: RenderingColour): LookUse {
  const place = usualPlace(from);
  return { place, scale: { input: usualScale(place === 'instead' ? from : to), output: usualScale(to) } };
}

const SCALES: Readonly<Record<RangeName, string>> = {
  full: 'in code values (0 to 1 is code 0 to 1023)',
  narrow: 'with black at 0 and white at 1',
};

function lookNotes(from: RenderingColour, to: RenderingColour, { place, scale }: LookUse): readonly string[] {
  const input = place === 'instead' ? from : to;
  const target = familyOf(to.transfer);
  return [
    `the look takes ${input.transfer}/${input.primaries} ${SCALES[scale.input]} and gives ${to.transfer}/${to.primaries} ${SCALES[scale.output]}`,
    ...(target === 'pq' || target === 'hlg'
      ? [
          `a .cube does not say what it gives: if the look was made for SDR, its picture is wrong on ${to.transfer}`,
        ]
      : []),
  ];
}

function wrap(from: RenderingColour, to: RenderingColour, plan: RenderingPlan): Rendering {
  const applyTo = (signal: Vector3): Vector3 => {
    let colour = each(signal, (s) => codeFractionOfNominal(nominalOfSignal(s, from), from.range));
    for (const step of plan.steps) colour = applyStep(step, colour);
    return each(colour, (nominal) => signalOfNominal(nominal, to));
  };
  return { from, to, ...plan, apply: plan.steps.length === 0 ? (signal) => signal : applyTo };
}

function each([r, g, b]: Vector3, map: Curve): Vector3 {
  return [map(r), map(g), map(b)];
}
