import type { Comparison, WholePlane } from '../../jobs/comparison/comparison.js';
import type { PictureComparison, SoundComparison } from '../../jobs/measurement/measured-comparison.js';
import type { Finding } from '../../jobs/verdict/verdict.js';
import { count, fixed, signed } from '../../jobs/words/numbers.js';
import { startText } from '../../jobs/words/places.js';
import { visible } from '../../jobs/words/plain-text.js';
import { bitsKeptText, bitsText } from '../../workers/compare/words.js';
import { verdictExitCode } from '../../workers/judge/exit-code.js';
import { requirementTitle } from '../../workers/judge/requirement-title.js';

/** A comparison for a person: first the findings, then the figures. */
export function comparisonText(found: Comparison): string {
  const { original, copy, picture, whole, sound, unmeasured } = found;
  return [
    `${visible(copy.path)}`,
    `  compared with ${visible(original.path)}`,
    '',
    ...found.findings.flatMap(findingLine),
    ...(picture === null ? [] : pictureLines(picture)),
    ...(original.picture || copy.picture
      ? [`Frames: ${framesText(copy)}, the original's ${framesText(original)}`]
      : []),
    `Timecode: ${copy.startTimecode ?? 'none'}, the original's ${original.startTimecode ?? 'none'}`,
    ...(whole === null ? [] : ['', `All ${count(whole.frames, 'frame')}:`, ...whole.planes.map(wholeLine)]),
    ...(sound.length === 0 ? [] : ['', ...sound.map(soundLine)]),
    ...(unmeasured.length === 0
      ? []
      : ['', ...unmeasured.map(({ what, why }) => `Not compared: ${what}: ${visible(why)}`)]),
  ].join('\n');
}

function framesText({ picture, frames }: Comparison['original']): string {
  return picture ? String(frames ?? 'unknown') : 'none';
}

/** What is not as it has to be, and what could not be told; each as `check` says it. */
function findingLine({ requirement, outcome, measured, waiver }: Finding): readonly string[] {
  if (outcome === 'pass') return [];
  const label = waiver === null ? outcome.toUpperCase() : `${outcome.toUpperCase()}, waived`;
  return [`${label}: ${requirementTitle(requirement)}: ${visible(measured)}`];
}

/**
 * As of `check --original` by the same requirements; 3 too where frames stand out by PSNR and SSIM alone,
 * which somebody has to look at.
 */
export function comparisonExitCode(found: Comparison): 0 | 1 | 3 {
  const code = verdictExitCode([found], { strict: false });
  return code === 0 && (found.whole?.unlike.length ?? 0) > 0 ? 3 : code;
}

function pictureLines(picture: PictureComparison): string[] {
  const { planes, frames, made, depth } = picture;
  const alike =
    made === 'planned'
      ? 'taken through the plan of the copy'
      : 'in size, sampling, matrix and range of the copy';
  return [
    `Precision: ${bitsKeptText(picture)} (${count(frames.length, 'frame')}, the original ${alike})`,
    ...planes.map(
      ({ plane, bitsKept, meanError, rmsError, maxError }) =>
        `  ${plane.padEnd(3)}${bitsText(bitsKept, depth).padStart(5)} bits, error ${fixed(rmsError, 2)} codes RMS, ${signed(meanError, 2)} on average, at most ${fixed(maxError, 0)}`,
    ),
  ];
}

function wholeLine({ plane, psnr, worstPsnr, ssim, worstSsim }: WholePlane): string {
  const at = ({ frame, timecode }: WholePlane['worstSsim']): string =>
    startText({ from: frame, fromTimecode: timecode });
  if (psnr === null || worstPsnr === null) return `  ${plane.padEnd(3)}identical`;
  return `  ${plane.padEnd(3)}PSNR ${fixed(psnr, 1)} dB, worst ${fixed(worstPsnr.value, 1)} at ${at(worstPsnr)}; SSIM ${fixed(ssim, 4)}, worst ${fixed(worstSsim.value, 4)} at ${at(worstSsim)}`;
}

function soundLine({ stream, offsetSamples, gainDb, mistakes }: SoundComparison): string {
  if (mistakes.length === 0 && offsetSamples === 0)
    return `Sound stream ${stream + 1}: in step to the sample, level ${signed(gainDb ?? 0, 1)} dB`;
  const offset = offsetSamples === null ? 'offset unknown' : `${signed(offsetSamples, 0)} samples`;
  return `Sound stream ${stream + 1}: ${offset}${gainDb === null ? '' : `, level ${signed(gainDb, 1)} dB`}`;
}
