import type { Comparison, WholePlane } from '../../jobs/comparison/comparison.js';
import type { PictureComparison, SoundComparison } from '../../jobs/measurement/measured-comparison.js';
import { count, fixed, signed } from '../../jobs/words/numbers.js';
import { startText } from '../../jobs/words/places.js';
import { visible } from '../../jobs/words/plain-text.js';
import { bitsKeptText, bitsText, mistakeText, otherFramesText } from '../../workers/compare/words.js';

/** A comparison for a person: first what is wrong, then the figures. */
export function comparisonText(found: Comparison): string {
  const { original, copy, picture, whole, sound, unmeasured } = found;
  return [
    `${visible(copy.path)}`,
    `  compared with ${visible(original.path)}`,
    '',
    ...differences(found).map((difference) => `! ${visible(difference)}`),
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

/** What shows that the copy is not its original's picture and sound; loss by coding is none of it. */
export function differences({ original, copy, picture, whole, sound }: Comparison): string[] {
  const [had, has] = [original.startTimecode, copy.startTimecode];
  return [
    ...(original.picture === copy.picture
      ? []
      : [copy.picture ? 'a picture, the original has none' : 'no picture, the original has one']),
    ...(original.frames === copy.frames
      ? []
      : [`${copy.frames} frames, the original has ${original.frames}`]),
    ...(had === null || had === has ? [] : [`start timecode ${has ?? 'missing'}, the original's is ${had}`]),
    ...(picture?.mistake == null ? [] : [mistakeText(picture.mistake)]),
    ...(whole === null || whole.apart.length === 0 ? [] : [otherFramesText(whole.apart)]),
    ...sound.flatMap(({ stream, mistakes }) =>
      mistakes.map((mistake) => `sound stream ${stream + 1}, ${mistakeText(mistake)}`),
    ),
  ];
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
