import type { Vector3 } from '../matrix3.js';
import { hlgInverseEotf } from '../transfer/hlg-ootf.js';
import { PQ } from '../transfer/pq.js';
import { bt2446MethodA, bt2446MethodC } from './bt2446.js';
import { type DisplaySource, HDR_CURVES, HLG_HEADROOM, hlgLight, pqLight } from './hdr-light.js';
import { convertLinear, convertSignalPrimaries } from './linear-conversion.js';
import { BRIDGE_DISPLAY, BRIDGE_PEAK_NITS, REFERENCE_WHITE_NITS } from './reference-levels.js';
import type { RenderingColour } from './rendering-colour.js';
import type { RenderingPlan } from './scene-rendering.js';
import { sdrDisplay } from './sdr-display.js';
import { type Curve, limitedToNominal, type Step, sameCurve } from './step.js';

/** Which mapping of Report BT.2446-1 takes HDR to SDR. */
export type HdrToSdrMethod = 'A' | 'C';

type HdrTarget = RenderingColour & { readonly family: 'pq' | 'hlg' };

/** HDR to HDR: the same display light on a display of 1,000 cd/m2. */
export function hdrToHdr(source: DisplaySource, to: HdrTarget): RenderingPlan {
  if (source.family === to.family) return hdrPrimaries(source, to);
  const toSignal = to.family === 'pq' ? pqSignals : hlgSignals;
  const light = source.family === 'pq' ? pqLight(source, BRIDGE_PEAK_NITS) : hlgLight(source, HLG_HEADROOM);
  return {
    steps: [
      ...light.steps,
      {
        kind: 'mix',
        what: `${source.family} to ${to.family}`,
        decode: light.decode,
        map: (decoded) => toSignal(light.nitsOf(decoded)),
      },
      // In HLG a saturated colour at the peak exceeds the nominal peak in its own channel.
      ...(to.family === 'hlg' ? [limitedToNominal()] : []),
      ...convertSignalPrimaries(HDR_CURVES[to.family], 'bt2020', to.primaries),
    ],
    description: `${label(source)} to ${label(to)}: the same light on a display of ${BRIDGE_PEAK_NITS} cd/m2`,
    source: 'Report ITU-R BT.2408-8 (conversion between PQ and HLG at 1,000 cd/m2); BT.2100-3 Tables 4 and 5',
    notes:
      to.family === 'hlg'
        ? [`light above ${BRIDGE_PEAK_NITS} cd/m2 is limited to it, channel by channel`]
        : [],
  };
}

function hdrPrimaries(source: DisplaySource, to: HdrTarget): RenderingPlan {
  const { decode, encode, what } = HDR_CURVES[to.family];
  const linear = convertLinear(
    (value) => decode(source.signal(value)),
    `${what} to light`,
    source.primaries,
    to.primaries,
  );
  return {
    steps: [...linear.steps, sameCurve(`light to ${what}`, (value) => encode(linear.lightOf(value)))],
    description: `${label(source)} to ${label(to)}: primaries in linear light`,
    source: 'ITU-R BT.2100-3; primaries by RP 177:1993',
    notes: [`colours outside ${to.primaries} are limited channel by channel in linear light`],
  };
}

/** HDR to SDR by BT.2446-1, in BT.2020, then to the target's primaries. */
export function hdrToSdr(source: DisplaySource, to: RenderingColour, method: HdrToSdrMethod): RenderingPlan {
  const light = source.family === 'hlg' ? hlgLight(source, 1) : pqLight(source, BRIDGE_PEAK_NITS);
  const map = method === 'A' ? bt2446MethodA : bt2446MethodC;
  const television = sdrDisplay('bt1886');
  const display = sdrDisplay(to.transfer);
  // Light beyond the peak of the method, from the change of primaries, is not part of the picture. Method C
  // reaches 107 %: scaled to the table domain 0..1 of the next step.
  const peak = method === 'A' ? 1 : 1.1;
  const room = to.primaries === 'bt2020' && display.name === television.name ? 1 : 1 / 1.1;
  const linear = convertLinear(
    (value) => television.eotf(value / room),
    'BT.1886 to light',
    'bt2020',
    to.primaries,
  );
  const toTarget: readonly Step[] =
    room === 1
      ? method === 'A'
        ? [limitedToNominal()]
        : []
      : [
          ...linear.steps,
          sameCurve(`light to ${display.name}`, (value) =>
            Math.min(display.inverseEotf(linear.lightOf(value)), peak),
          ),
        ];
  return {
    steps: [
      ...light.steps,
      {
        kind: 'mix',
        what: `BT.2446-1 method ${method}`,
        decode: light.decode,
        map: (decoded) => mapped(map(light.nitsOf(decoded)), (signal) => signal * room),
      },
      ...toTarget,
    ],
    description: `${label(source)} to ${label(to)}: display light of up to ${BRIDGE_PEAK_NITS} cd/m2 by BT.2446 method ${method}`,
    source: `Report ITU-R BT.2446-1, method ${method}; BT.2087 and RP 177 (primaries)`,
    notes: [
      `light above ${BRIDGE_PEAK_NITS} cd/m2 is limited to it, channel by channel`,
      ...(to.primaries === 'bt2020'
        ? []
        : [`colours outside ${to.primaries} are limited channel by channel in linear light`]),
    ],
  };
}

/** SDR into HDR without expansion: SDR white becomes HDR reference white. */
export function sdrToHdr(source: DisplaySource, to: HdrTarget): RenderingPlan {
  const linear = sdrLinear(source, to.family === 'hlg' ? 'bt2020' : to.primaries);
  const nits: Curve = (value) => linear.lightOf(value) * REFERENCE_WHITE_NITS;
  const steps: readonly Step[] =
    to.family === 'pq'
      ? [sameCurve('light to PQ', (value) => PQ.inverseEotf(nits(value)))]
      : [
          { kind: 'mix', what: 'light to HLG', decode: nits, map: hlgSignals },
          ...convertSignalPrimaries(HDR_CURVES.hlg, 'bt2020', to.primaries),
        ];
  return {
    steps: [...linear.steps, ...steps],
    description: `${label(source)} to ${label(to)}: SDR white at ${REFERENCE_WHITE_NITS} cd/m2 (75 % HLG), nothing expanded`,
    source: 'Report ITU-R BT.2408-8 (inclusion of SDR content, display-referred direct mapping)',
    notes: [],
  };
}

/**
 * SDR to SDR: the same display light in other primaries. Colours outside these would exceed the peak: they
 * are limited, and so are signals above white.
 */
export function sdrToSdr(source: DisplaySource, to: RenderingColour): RenderingPlan {
  const linear = sdrLinear(source, to.primaries);
  const display = sdrDisplay(to.transfer);
  const peak = source.primaries === to.primaries ? Number.POSITIVE_INFINITY : 1;
  return {
    steps: [
      ...linear.steps,
      sameCurve(`light to ${display.name}`, (value) =>
        Math.min(display.inverseEotf(linear.lightOf(value)), peak),
      ),
    ],
    description: `${label(source)} to ${label(to)}: the same display light, primaries converted`,
    source: 'ITU-R BT.2087-0 and Report BT.2407-0 (conversion in linear display light); BT.1886',
    notes:
      source.primaries === to.primaries
        ? []
        : [`colours outside ${to.primaries} and signals above white are limited channel by channel`],
  };
}

function sdrLinear(source: DisplaySource, to: RenderingColour['primaries']) {
  const { eotf, name } = sdrDisplay(source.transfer);
  return convertLinear((value) => eotf(source.signal(value)), `${name} to light`, source.primaries, to);
}

function hlgSignals(nits: Vector3): Vector3 {
  return hlgInverseEotf(nits, BRIDGE_DISPLAY);
}

function pqSignals(nits: Vector3): Vector3 {
  return mapped(nits, PQ.inverseEotf);
}

function label({ transfer, primaries }: RenderingColour): string {
  return `${transfer}/${primaries}`;
}

function mapped([r, g, b]: Vector3, map: Curve): Vector3 {
  return [map(r), map(g), map(b)];
}
