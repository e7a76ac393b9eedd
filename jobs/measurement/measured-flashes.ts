import { z } from 'zod';
import { field } from '../documents/field.js';
import { frameRange } from './frame-range.js';

/** Shown with every result of the flash screening. */
export const FLASH_CAUTION =
  'A screening after ITU-R BT.1702, not a certified photosensitivity test: the approved test of the broadcaster and the local rules decide.';

/** The edition the screening follows. */
export const FLASH_STANDARD = 'ITU-R BT.1702-3 (11/2023), Annex 1, Guideline 1';

/** What the screening does not check, for people who read a result. */
export const FLASH_LIMITS: readonly string[] = [
  'regular light-dark patterns (stripes, checks) are not screened, still or moving; where parts of the screen change more than three times a second but not at the same time, as in a moving pattern, the screening reports it',
  'the two fields of an interlaced frame are screened together: flashes from field to field are not detected',
  'light is measured in cells of 8 or 16 pixels: flashes of detail finer than a cell seem weaker than they are; where such detail flickers the screening reports it',
];

const worstSecond = frameRange.extend({
  flashes: field(
    'Flashes in it: a flash is two opposing changes, half a flash a single change.',
    z.number().nonnegative(),
  ),
  area: field(
    'Largest part of the screen that changed at once in that second, as a fraction: lower bound.',
    z.number().min(0).max(1),
  ),
  areaAtMost: field(
    'The same: upper bound. Light is measured in cells, and the edge of a flash may run through them.',
    z.number().min(0).max(1),
  ),
});

const flashKind = z.object({
  worstSecond: field(
    'The second with the most flashes. Null: no change of more than a quarter of the screen in the ' +
      'whole file.',
    worstSecond.nullable(),
  ),
  ranges: field(
    'Where there are more than three flashes within one second, over more than a quarter of the screen.',
    z.array(frameRange),
  ),
  nearLimit: field(
    'Where there may be: the area is too near a quarter of the screen to decide by cells.',
    z.array(frameRange),
  ),
  outOfStep: field(
    'Where more than a quarter of the screen changes more than six times within a second, but does not go up ' +
      'and down as one so often: as in a moving pattern, with several blinking lamps, in rapid cuts or where ' +
      'light changes in steps: not judged.',
    z.array(frameRange),
  ),
});

/** Flashes that can harm people with photosensitive epilepsy. */
export const flashes = z.object({
  standard: field('The edition the screening follows.', z.literal(FLASH_STANDARD)),
  model: field(
    'The display that the light is calculated for.',
    z.object({
      signal: field('What the picture is shown as: SDR, PQ or HLG.', z.enum(['sdr', 'pq', 'hlg'])),
      display: field('The display in words, with its source and what had to be assumed.', z.string()),
      peak: field('Luminance of signal 1, cd/m².', z.number().positive()),
      cell: field('Pixels on each side of a cell.', z.number().int().positive()),
      secondFrames: field("Frames in which a second's flashes are counted.", z.number().int().positive()),
      saturatedRed: field(
        'How a saturated red is recognised, since the standard gives no figure.',
        z.string(),
      ),
    }),
  ),
  general: field('Flashes of light.', flashKind),
  red: field('Flashes of saturated red.', flashKind),
  sustained: field(
    'Flashing within the limits for more than 5 s, which may still be a risk.',
    z.array(frameRange),
  ),
  fineDetail: field(
    'Where detail finer than a cell flickers or moves more than three times a second: not ' + 'judged.',
    z.array(frameRange),
  ),
  notScreened: field('What the screening does not check, in words.', z.array(z.string())),
  caution: field('Caution to show with every result.', z.literal(FLASH_CAUTION)),
});
export type Flashes = z.infer<typeof flashes>;
export type FlashKind = z.infer<typeof flashKind>;
