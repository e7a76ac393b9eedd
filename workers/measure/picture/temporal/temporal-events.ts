import type { MeasuredTemporal, PictureArea } from '../../../../jobs/measurement/measured-temporal.js';
import type { MeasuredEvent } from '../../../../jobs/measurement/measurement.js';
import { count, significant } from '../../../../jobs/words/numbers.js';
import { percent } from '../../../../jobs/words/quantities.js';
import { type Rational, toNumber } from '../../../../signal/rational.js';

/**
 * From this long on a still picture is called a freeze, and below so many frames a shot a flash frame. Common
 * practice, no source.
 */
const FREEZE_SECONDS = 2;
const FLASH_FRAMES_BELOW = 3;
/** Span of levels of a colour that is called constant. */
const CONSTANT_LEVEL = 0.03;

/**
 * The places of a measurement that a person would want to check. @param rate null: seconds cannot be counted,
 * so every freeze is listed.
 */
export function temporalEvents(
  temporal: MeasuredTemporal,
  raster: { readonly width: number; readonly height: number },
  rate: Rational | null,
): MeasuredEvent[] {
  const { black, constantColour, freeze, duplicate, missingMotion, shortShot, activePicture, blankEdge } =
    temporal;
  const event = (
    kind: string,
    { from, to, fromTimecode, toTimecode }: Omit<MeasuredEvent, 'kind' | 'detail'>,
    detail: string,
  ): MeasuredEvent => ({ kind, from, to, fromTimecode, toTimecode, detail });
  const longEnough = rate === null ? 0 : freezeFrames(FREEZE_SECONDS, rate);
  const main = activePicture.area;
  return [
    ...black.ranges.map((run) => event('black', run, count(run.to - run.from, 'frame'))),
    ...constantColour.ranges
      .filter(({ spread }) => spread <= CONSTANT_LEVEL)
      .map((run) => event('constant-colour', run, colourText(run.colour))),
    ...freeze.ranges
      .filter(({ from, to }) => to - from >= longEnough)
      .map((run) =>
        event(
          'freeze',
          run,
          `${count(run.to - run.from, 'frame')}, ${run.identical ? 'identical' : `changes below ${freeze.db} dB`}`,
        ),
      ),
    ...duplicate.ranges.map((run) => event('duplicate', run, count(run.to - run.from, 'frame'))),
    ...duplicate.regular.ranges.map((run) =>
      event('duplicate', run, `regular repeats, every ${significant(run.every, 4)} frames`),
    ),
    ...missingMotion.ranges.map((run) => event('missing-motion', run, 'the motion is twice the usual step')),
    ...shortShot.ranges
      .filter(({ from, to }) => to - from < FLASH_FRAMES_BELOW)
      .map((run) => event('flash-frame', run, `a shot of ${count(run.to - run.from, 'frame')}`)),
    ...activePicture.others.ranges.map((run) =>
      event(
        'bars',
        run,
        `picture ${areaText(run.area, raster)}${main === null ? '' : `, elsewhere ${areaText(main, raster)}`}`,
      ),
    ),
    ...blankEdge.ranges.map((run) => event('blank-edge', run, `${run.lines} black at the ${run.side}`)),
  ];
}

/** Frames that last at least so long. */
export function freezeFrames(seconds: number, rate: Rational): number {
  return Math.ceil(seconds * toNumber(rate) - 1e-6);
}

function areaText(
  { left, top, width, height }: PictureArea,
  raster: { readonly width: number; readonly height: number },
): string {
  const whole = width === raster.width && height === raster.height;
  return whole ? `${width} x ${height} (no bars)` : `${width} x ${height} at ${left}, ${top}`;
}

function colourText(colour: readonly number[]): string {
  const percents = colour.map((value) => percent(value));
  return `planes at ${percents.join(', ')}`;
}
