import type { PrimariesName } from '../../../signal/gamut/gamuts.js';
import { makeRendering } from '../../../signal/rendering/make-rendering.js';
import {
  familyOf,
  type RenderingColour,
  signalOfNominal,
} from '../../../signal/rendering/rendering-colour.js';
import type { PictureMeaning } from '../../measure/picture/plan/meaning.js';

/** The still's own colour: 8-bit full-range R'G'B' of BT.709, as a page shows it. */
const PAGE: RenderingColour = { transfer: 'bt709', primaries: 'bt709', range: 'full' };

/**
 * Television primaries that a page shows as they are: BT.601's differ from BT.709's by less than an eye would
 * mark in a still.
 */
const SHOWN_AS_THEY_ARE: ReadonlySet<PrimariesName> = new Set<PrimariesName>([
  'bt709',
  'smpte170m',
  'bt470bg',
]);

const AS_IT_IS = 'SDR, shown as it is';

export interface Showing {
  /** Nominal R'G'B' of the picture, three a pixel, to R'G'B' codes of the page. */
  readonly show: (nominal: Float32Array) => Uint8Array;
  /** How the picture was rendered, for its caption, or that it was not. */
  readonly rendered: string;
}

/** How a picture of this colour is shown: SDR as it is, everything else by goodgate's own rendering. */
export function showInSdr({ transfer, primaries, range }: PictureMeaning): Showing {
  if (transfer === null || primaries === null) {
    return {
      show: asItIs,
      rendered: transfer === null ? 'its transfer function is not known: shown as if SDR' : AS_IT_IS,
    };
  }
  if (familyOf(transfer) === 'sdr' && SHOWN_AS_THEY_ARE.has(primaries))
    return { show: asItIs, rendered: AS_IT_IS };
  const from: RenderingColour = { transfer, primaries, range };
  const rendering = makeRendering({ from, to: PAGE });
  return {
    show: (nominal) => {
      const codes = new Uint8Array(nominal.length);
      for (let i = 0; i < nominal.length; i += 3) {
        const [r, g, b] = rendering.apply([
          signalOfNominal(nominal[i] ?? 0, from),
          signalOfNominal(nominal[i + 1] ?? 0, from),
          signalOfNominal(nominal[i + 2] ?? 0, from),
        ]);
        codes[i] = code(r);
        codes[i + 1] = code(g);
        codes[i + 2] = code(b);
      }
      return codes;
    },
    rendered: `rendered to SDR by goodgate for this page (${rendering.description.replaceAll('cd/m2', 'cd/m²')})`,
  };
}

function asItIs(nominal: Float32Array): Uint8Array {
  return Uint8Array.from(nominal, code);
}

function code(signal: number): number {
  return Math.round(255 * Math.min(Math.max(signal, 0), 1));
}
