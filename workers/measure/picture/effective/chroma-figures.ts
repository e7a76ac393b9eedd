import { keepsDetail, mayScaleUp } from '../../../../jobs/codecs/codec-traits.js';
import type { ChromaName } from '../../../../jobs/manifest/colour.js';
import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import type { PicturePlan } from '../plan/picture-plan.js';
import { samplingName } from '../plan/sample-layout.js';
import { type HalfBand, halfBand } from './half-band.js';
import { type SpectrumName, spectrumAt } from './spectrum-study.js';
import { readSpectrum } from './spectrum-sums.js';

type Chroma = NonNullable<Measurement['video']>['chroma'];

/**
 * The chroma sampling a picture really uses, from the sums of spectrumStudy. RGB counts as 4:4:4. Null where
 * not known: too little chroma detail, grain, or a sampling other than 4:4:4, 4:2:2, 4:2:0. Strong
 * compression hides interpolated chroma, and leaves errors that look like detail: then `4:4:4` and `4:2:2`
 * are never confirmed.
 *
 * @param codec ffmpeg's name.
 */
export function effectiveChroma(sums: Float64Array, plan: PicturePlan, codec: string): Chroma {
  const declared = samplingName(plan.layout);
  const known = (effective: ChromaName | null, confidence: 'high' | 'low'): Chroma => ({
    declared,
    effective,
    confidence,
  });
  const judge = (name: SpectrumName): HalfBand =>
    halfBand(readSpectrum(spectrumAt(sums, name)), keepsDetail(codec));
  if (declared === '4:0:0' || declared === '4:2:0') return known(declared, 'high');
  if (declared !== '4:4:4' && declared !== '4:2:2') return known(null, 'low');

  const down = downwards(judge('chromaDown'), plan.interlaced ? judge('chromaDownInFields') : null);
  // No common sampling halves the lines but not the samples of a line.
  if (down.samples === 'halved')
    return known('4:2:0', isAfterCoding(declared, codec) ? 'low' : down.confidence);
  if (declared === '4:2:2') return down.samples === 'full' ? known('4:2:2', 'high') : known(null, 'low');
  const across = judge('chromaAcross');
  if (across.samples === 'full') return known('4:4:4', 'high');
  if (across.samples === null) return known(null, 'low');
  // At most 4:2:2; the confidence depends on whether all lines are there too.
  const sure = down.samples === 'full' && !mayScaleUp(codec);
  return known('4:2:2', sure ? across.confidence : 'low');
}

/**
 * Whether coding itself may have made pairs of lines of 4:2:2 chroma alike: its blocks have twice as many
 * lines as samples across, and where the upper half of the vertical coefficients is discarded the lines look
 * doubled, without traces of blocks. Genuine 4:2:2 under H.264 showed images of 0.04 to 0.28 and more, the
 * softer the picture the stronger; interpolated from 4:2:0 they were 0.07 to 0.64 (6 frames of fractals and
 * titles, blurred by 0 to 1.5 samples, quantisers 18 to 35).
 */
function isAfterCoding(declared: ChromaName, codec: string): boolean {
  return mayScaleUp(codec) || (declared === '4:2:2' && !keepsDetail(codec));
}

/**
 * Chroma of interlaced material may have been halved within the fields, or within the frame as that of
 * progressive pictures.
 */
function downwards(inFrame: HalfBand, inFields: HalfBand | null): HalfBand {
  if (inFields === null) return inFrame;
  if (inFields.samples === 'halved' && inFrame.samples !== 'halved') return inFields;
  if (inFrame.samples === 'halved') return inFrame;
  // Lines of a frame differ by motion too: only the fields can show that all are there.
  return inFields;
}
