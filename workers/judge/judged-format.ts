import type { requiredFormat } from '../../jobs/requirements/required-format.js';
import { decode } from './check-decode.js';
import { effectiveChroma, effectiveRaster } from './check-effective.js';
import { cadence, fieldOrder } from './check-fields.js';
import { bitDepth, chroma, container, raster, sampleAspect, scan, videoCodec } from './check-format.js';
import { frameCount } from './check-length.js';
import { constantRate, frameRate } from './check-timing.js';
import type { JudgedRequirements } from './ruling.js';

/** The form of the picture: how each requirement is checked, and why anybody asks for it. */
export const judgedFormat = {
  decode: {
    check: decode,
    why: 'A file that cannot be decoded whole is not a delivery, whatever its headers say.',
  },
  container: { check: container, why: 'Ingest takes certain wrappers and refuses the others.' },
  'video-codec': {
    check: videoCodec,
    why: 'A codec or profile the receiver cannot decode comes back from ingest.',
  },
  raster: { check: raster, why: 'A picture of another size is scaled on the way, and softens.' },
  'sample-aspect': {
    check: sampleAspect,
    why: 'A wrong sample aspect shows the picture squeezed or stretched.',
  },
  'frame-rate': {
    check: frameRate,
    why: 'A wrong rate drifts from sound and timecode, or is converted and judders.',
  },
  'constant-rate': {
    check: constantRate,
    why: 'Edit systems count frames; uneven ones move cuts and drift from sound.',
  },
  scan: { check: scan, why: 'A wrong field order makes motion jump back and forth.' },
  'field-order': {
    ...fieldOrder,
    why: 'Fields shown in the wrong order jump back and forth; combing in progressive frames cannot be taken out later.',
  },
  cadence: {
    ...cadence,
    why: 'Pulldown left in, or broken by the edit, judders and spoils every later conversion.',
  },
  'frame-count': {
    check: frameCount,
    why: 'Where header, packets and picture count differently, frames were lost or added on the way.',
  },
  'bit-depth': {
    check: bitDepth,
    why: 'Bits that are only declared do not keep skies from banding in the grade.',
  },
  chroma: {
    check: chroma,
    why: 'Colour detail that was thrown away does not come back for keying and grading.',
  },
  'effective-chroma': {
    check: effectiveChroma,
    why: 'Chroma made up from fewer samples keys and grades no better than those samples did.',
  },
  'effective-raster': {
    check: effectiveRaster,
    why: 'A picture scaled up fills the raster and shows no more than it did before.',
  },
} satisfies JudgedRequirements<keyof typeof requiredFormat>;
