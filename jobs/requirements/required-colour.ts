import { z } from 'zod';
import { BT709 } from '../../signal/gamut/bt709.js';
import { BT2020 } from '../../signal/gamut/bt2020.js';
import { SMPTE432 } from '../../signal/gamut/smpte432.js';
import { field } from '../documents/field.js';
import { rangeName, written, writtenMatrix, writtenPrimaries, writtenTransfer } from '../manifest/colour.js';
import { fraction, oneOrMore, placedRequirement, proof, requirement } from './requirement-form.js';

/** Requirements on colour tags, signal levels and light. */
export const requiredColour = {
  colour: requirement('The file is tagged with this colour (ITU-T H.273); a missing tag fails.', {
    primaries: field(
      'Primaries, by their H.273 name or trade name: `bt2020` or `Rec.2020`.',
      writtenPrimaries,
    ),
    transfer: field(
      'Accepted transfer functions, by their H.273 names or trade names: `bt709` (Rec.709), ' +
        '`smpte2084` (PQ), `arib-std-b67` (HLG).',
      oneOrMore(writtenTransfer),
    ),
    matrix: field(
      "Y'CbCr matrix, by its H.273 name or trade name: `bt709`, `bt2020nc`; `gbr` for RGB.",
      writtenMatrix,
    ),
    range: field('Quantisation range: narrow or full (ITU-R BT.2100).', rangeName),
  }),
  'colour-layers': requirement('Container and bitstream declare the same colour.', { proof }),
  'signal-range': placedRequirement('The signal is within the tolerance of EBU R 103.', {
    maxArea: field(
      'Largest area of the filtered picture outside the tolerance, in the worst frame, as a fraction.',
      fraction.default(0.01),
    ),
  }),
  'reserved-codes': placedRequirement('No sample has a code that SDI reserves (10 bit: 0-3, 1020-1023).', {}),
  'range-flag': requirement('The levels of the picture agree with its range flag, narrow or full.', {
    proof,
  }),
  'peak-luminance': placedRequirement('No pixel of a PQ or HLG picture is brighter than this: max(R,G,B).', {
    max: field('Largest luminance, cd/m².', z.number().positive()),
    tolerance: field(
      'How far above `max` is still accepted, as a fraction of it. Default: not at all.',
      fraction.optional(),
    ),
  }),
  'light-level': requirement('MaxCLL and MaxFALL are declared, and correct (CTA-861.3).', {
    tolerance: field(
      'Largest difference as a fraction of the measured value. Up to 1 cd/m² is always accepted.',
      fraction.default(0.01),
    ),
  }),
  'mastering-display': requirement(
    'The mastering display is declared (SMPTE ST 2086), and is one of these.',
    {
      primaries: field(
        'Accepted displays, by their primaries with white D65: `bt709`, `smpte432` (P3-D65), `bt2020`.',
        oneOrMore(written([BT709, SMPTE432, BT2020], z.enum(['bt709', 'smpte432', 'bt2020']))),
      ),
      maxLuminance: field(
        'Highest peak the display may have, cd/m². Default: any.',
        z.number().positive().optional(),
      ),
    },
  ),
  'outside-p3': placedRequirement('The colours of a BT.2020 picture are inside P3-D65.', {
    maxArea: field(
      'Largest area of the picture outside P3-D65, in the worst frame, as a fraction.',
      fraction,
    ),
  }),
};
