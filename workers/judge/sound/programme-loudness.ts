import type { AudioMeasurement } from '../../../jobs/measurement/measurement.js';
import { quantity } from '../../../jobs/words/quantities.js';
import { channelWeights } from '../../measure/sound/channel-weights.js';
import { doubtAbout } from '../doubt.js';
import { type OneStream, onEachStream } from '../on-sound.js';
import type { Rule } from '../requirement.js';
import { met, metIf, type Ruling, unmeasured } from '../ruling.js';

/** Below this many seconds BS.1770 has no block to measure. */
export const GATING_BLOCK_SECONDS = 0.4;
/** Rounding of doubles in the decibel scale; far below anything a meter shows. */
export const ROUNDING_DB = 1e-9;

/** Several mono streams are parts of a programme; the file does not declare which channels they are. */
function isPartOfProgramme(stream: AudioMeasurement, all: readonly AudioMeasurement[]): boolean {
  return stream.channels === 1 && all.length > 1;
}

/** Why no loudness figure of a stream can be judged; null when it can. */
export function loudnessObstacle({ stream, index, measurement }: OneStream): Ruling | null {
  const doubt = doubtAbout(measurement, `audio[${index}].integratedLufs`, 'loudness');
  if (doubt !== null) return unmeasured(doubt);
  if (isPartOfProgramme(stream, measurement.audio)) {
    const reason = 'one of several mono streams: loudness is that of all channels together';
    return unmeasured(reason, 'Measure the programme as one stream with its channel layout.');
  }
  if (channelWeights(stream.channels, stream.layout).weighting === 'assumed') {
    const reason = `the layout of the ${stream.channels} channels is not declared, so their weights are not known`;
    return unmeasured(reason, 'Write the channel layout into the file.');
  }
  return null;
}

/** The tolerance, written after its limit. */
export function over(tolerance: number): string {
  return tolerance === 0 ? '' : ` within ${tolerance} LU`;
}

interface LoudestAllowed {
  readonly max: number;
  readonly tolerance: number;
}

/**
 * A limit on the largest loudness of a window of so many seconds; a stream shorter than one window is
 * unmeasured.
 */
export function loudestWindow(
  seconds: number,
  figure: 'maxMomentaryLufs' | 'maxShortTermLufs',
): Rule<LoudestAllowed> {
  return onEachStream(({ max, tolerance }, one) => {
    const { stream, index, measurement } = one;
    const doubt = doubtAbout(measurement, `audio[${index}].${figure}`);
    if (doubt !== null) return unmeasured(doubt);
    const obstacle = loudnessObstacle(one);
    if (obstacle !== null) return obstacle;
    const value = stream[figure];
    if (value === null) {
      return stream.durationSeconds < seconds
        ? unmeasured(`shorter than one window of ${seconds} s`)
        : met('silence');
    }
    return metIf(value <= max + tolerance + ROUNDING_DB, quantity(value, 'LUFS'));
  });
}

export function loudestWords(name: string, seconds: number, { max, tolerance }: LoudestAllowed): string {
  return `${name} loudness at most ${max} LUFS${over(tolerance)}, windows of ${seconds} s, EBU Tech 3341 v4`;
}

export const TAKE_LOUDEST_DOWN = 'Lower the loudest passage in the mix, then measure again.';
