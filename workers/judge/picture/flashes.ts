import { FLASH_CAUTION, type Flashes, type FlashKind } from '../../../jobs/measurement/measured-flashes.js';
import { count } from '../../../jobs/words/numbers.js';
import { placeText } from '../../../jobs/words/places.js';
import { percent } from '../../../jobs/words/quantities.js';
import { doubtAbout, reasonFor } from '../doubt.js';
import { onPicture, type Video } from '../on-picture.js';
import { joinRanges } from '../place.js';
import { defineRequirement } from '../requirement.js';
import { doubtful, met, missedOnlyAt, type Ruling, unmeasured } from '../ruling.js';

const TEST_ADVICE = 'have the programme pass the approved test of the broadcaster.';
const LOOK = `Check the programme, and ${TEST_ADVICE}`;

/** Every outcome says that this was a screening. */
export const requirement = defineRequirement('flashes', {
  title: 'Flashes (screening after BT.1702)',
  why: 'Flashes like these can trigger seizures in people with photosensitive epilepsy.',
  expected:
    'at most 3 flashes, of light or of saturated red, in any second over more than 25 % of the screen (ITU-R BT.1702-3)',
  advice: `Slow the flashes down, or reduce their contrast, red or area, then ${TEST_ADVICE}`,
  rule: onPicture((_, video, measurement) => {
    const figures = measurement.flashes;
    if (figures === null || doubtAbout(measurement, 'flashes') !== null) {
      return notKnown(reasonFor(measurement, 'screening for flashes', 'flashes'));
    }
    const { general, red, fineDetail, sustained } = figures;
    const at = joinRanges([...general.ranges, ...red.ranges]);
    if (at.length > 0) return missedOnlyAt(at, flashesInWords(figures, video));
    if (video.constantRate === false) {
      return notKnown('frames are of uneven duration, so that a second cannot be counted in frames');
    }
    const near = joinRanges([...general.nearLimit, ...red.nearLimit]);
    if (near.length > 0) {
      const ruling = unmeasured(
        `the area of the flashes is too near 25 % of the screen to decide with cells of ${figures.model.cell} pixels: ${flashesInWords(figures, video)}`,
        LOOK,
      );
      return { ...ruling, at: near };
    }
    const outOfStep = joinRanges([...general.outOfStep, ...red.outOfStep]);
    if (outOfStep.length > 0) {
      const ruling = notKnown(
        `${count(outOfStep.length, 'place')} where more than a quarter of the screen changes more than six times a second, but does not go up and down as one so often: as in a moving pattern, with several blinking lamps, in rapid cuts or where light changes in steps`,
      );
      return { ...ruling, at: outOfStep };
    }
    if (fineDetail.length > 0) {
      const ruling = notKnown(
        `${count(fineDetail.length, 'place')} where detail finer than ${figures.model.cell} pixels flickers more than three times a second`,
      );
      return { ...ruling, at: fineDetail };
    }
    if (sustained.length > 0) {
      const long = `flashes for more than 5 s without a break, within the limits; ${flashesInWords(figures, video)}`;
      const ruling = doubtful(long, `Long flashing may still be a risk: shorten it, or ${TEST_ADVICE}`);
      return { ...ruling, at: sustained };
    }
    return met(flashesInWords(figures, video));
  }),
});

function notKnown(reason: string): Ruling {
  return unmeasured(`${reason}. ${FLASH_CAUTION}`, LOOK);
}

function flashesInWords({ general, red, model, caution }: Flashes, { scan }: Video): string {
  const fields =
    scan === null || scan === 'progressive' ? '' : '; flashes from field to field are not detected';
  return `${worst('light', general)}, ${worst('saturated red', red)}, on a ${model.display}${fields}. ${caution}`;
}

function worst(what: string, { worstSecond }: FlashKind): string {
  if (worstSecond === null) return `${what}: none`;
  const { flashes, area, areaAtMost } = worstSecond;
  const [least, most] = [percent(area), percent(areaAtMost)];
  const share = least === most ? most : `${least} to ${most}`;
  return `${what}: ${count(flashes, 'flash', 'flashes')} in the worst second, ${placeText(worstSecond)}, at most ${share} of the screen at once`;
}
