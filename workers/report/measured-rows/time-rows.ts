import type { FlashKind } from '../../../jobs/measurement/measured-flashes.js';
import type { PictureArea } from '../../../jobs/measurement/measured-temporal.js';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { count, fixed, grouped } from '../../../jobs/words/numbers.js';
import { firstPlace, placesText, startText } from '../../../jobs/words/places.js';
import { percent } from '../../../jobs/words/quantities.js';
import type { Row } from './row.js';

/** What the picture does over time. */
export function temporalRows({ video, temporal }: Measurement): Row[] {
  if (video === null || temporal === null) return [];
  const { black, constantColour, freeze, duplicate, missingMotion, shortShot, activePicture, blankEdge } =
    temporal;
  const { regular } = duplicate;
  const inStep =
    regular.ranges.length === 0
      ? ''
      : `; in step in ${count(regular.ranges.length, 'place')}${firstPlace(regular.ranges)}`;
  const unclear = shortShot.unclear.places;
  const lines = Math.max(0, ...blankEdge.ranges.map((edge) => edge.lines));
  const rows: Row[] = [
    ['Black', placesText(black)],
    ['One colour', placesText(constantColour)],
    [
      'Stands still',
      freeze.places === 0 ? 'nowhere' : `${placesText(freeze)}; changes below ${freeze.db} dB`,
    ],
    ['Repeated frames', `${placesText(duplicate)}${inStep}`],
    ['Lost frames', placesText(missingMotion)],
    [
      'Cuts',
      `${grouped(shortShot.cuts)}; shots of fewer than ${shortShot.below} frames: ${shortShot.places === 0 ? 'none' : `${grouped(shortShot.places)}${firstPlace(shortShot.ranges)}`}${unclear === 0 ? '' : `; cannot be told in ${count(unclear, 'place')}`}`,
    ],
    [
      'Active picture',
      `${areaText(activePicture.area, video)}${activePicture.others.places === 0 ? '' : `; another one: ${placesText(activePicture.others)}`}`,
    ],
    [
      'Blank edges',
      blankEdge.places === 0 ? 'none' : `${placesText(blankEdge)}; at most ${count(lines, 'line')}`,
    ],
  ];
  return rows;
}

function areaText(
  area: PictureArea | null,
  raster: { readonly width: number; readonly height: number },
): string {
  if (area === null) return 'too dark throughout to show its edges';
  if (area.width === raster.width && area.height === raster.height) return 'the whole raster, no bars';
  const shape = fixed(area.width / area.height, 2);
  return `${area.width} x ${area.height} at ${area.left}, ${area.top} (${shape}:1 in samples)`;
}

/** The caution goes with every result. */
export function flashRows(measured: Measurement): Row[] {
  const { flashes, video, unmeasured } = measured;
  if (video === null) return [];
  if (flashes === null) {
    // Where it could not be screened, the reason stands among what was not measured.
    const told = unmeasured.some(({ what }) => what === 'flashes');
    return [['Screening', told ? 'not measured' : 'does not apply: no display shows this picture as it is']];
  }
  const rows: Row[] = [
    ['Light', flashText(flashes.general)],
    ['Saturated red', flashText(flashes.red)],
  ];
  const { sustained, fineDetail } = flashes;
  if (sustained.length > 0)
    rows.push([
      'Longer than 5 s',
      `${count(sustained.length, 'place')}${firstPlace(sustained)}: may be a risk all the same`,
    ]);
  if (fineDetail.length > 0)
    rows.push([
      'Not measured',
      `${count(fineDetail.length, 'place')} where detail finer than ${flashes.model.cell} pixels flickers${firstPlace(fineDetail)}`,
    ]);
  rows.push(['Worked out for', flashes.model.display], ['Not looked for', flashes.notScreened.join('; ')]);
  rows.push(['Caution', flashes.caution]);
  return rows;
}

function flashText(kind: FlashKind): string {
  const { nearLimit, outOfStep } = kind;
  const doubts = [
    ...(nearLimit.length > 0 ? [`too near 25 % of the screen to tell in ${flashPlaces(nearLimit)}`] : []),
    ...(outOfStep.length > 0
      ? [`places that change out of step with one another, not judged, in ${flashPlaces(outOfStep)}`]
      : []),
  ];
  return [toldText(kind), ...doubts].join('; ');
}

function flashPlaces(ranges: FlashKind['ranges']): string {
  return `${count(ranges.length, 'place')}${firstPlace(ranges)}`;
}

function toldText({ worstSecond, ranges }: FlashKind): string {
  if (worstSecond === null) return 'no flash over more than 25 % of the screen';
  const worst = `worst second ${count(worstSecond.flashes, 'flash', 'flashes')} from ${startText(worstSecond)}, at most ${flashArea(worstSecond)} of the screen at once`;
  if (ranges.length === 0) return `${worst}; never more than 3 in a second`;
  return `MORE THAN 3 IN A SECOND in ${flashPlaces(ranges)}; ${worst}`;
}

function flashArea({ area, areaAtMost }: NonNullable<FlashKind['worstSecond']>): string {
  const [least, most] = [percent(area), percent(areaAtMost)];
  return least === most ? most : `${least} to ${most}`;
}
