import type { AudioMeasurement } from '../../../jobs/measurement/measurement.js';
import { quantity } from '../../../jobs/words/quantities.js';
import type { Rational } from '../../../signal/rational.js';
import type { SampleRun } from './longest-runs.js';

/**
 * A frame that sound touches by less than this share of it is not touched: the rest is rounding of the start.
 */
const ROUNDING = 1e-6;

/**
 * Frames `[from, to)` of the picture that a run of samples sounds with. A file without picture has no frames:
 * there they are whole seconds from the start of the sound, and carry no timecode.
 *
 * @param stream `startSeconds` null: sound and picture are taken to start together.
 * @param frameRate of the picture, null without one.
 */
export function soundFrames(
  run: SampleRun,
  stream: Pick<AudioMeasurement, 'sampleRate' | 'startSeconds'>,
  frameRate: Rational | null,
): { readonly from: number; readonly to: number } {
  const { num, den } = frameRate ?? { num: 1, den: 1 };
  const start = frameRate === null ? 0 : ((stream.startSeconds ?? 0) * num) / den;
  const at = (sample: number): number => start + (sample * num) / (stream.sampleRate * den);
  const from = Math.max(0, Math.floor(at(run.from) + ROUNDING));
  return { from, to: Math.max(from + 1, Math.ceil(at(run.to) - ROUNDING)) };
}

/** Length of a run as it is written: `2.500 s`. */
export function secondsText({ from, to }: SampleRun, sampleRate: number): string {
  return quantity((to - from) / sampleRate, 's');
}
