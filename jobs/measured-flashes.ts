import { z } from 'zod';
import { frameRange } from './frame-range.js';

/** Said wherever a result of the flash screening is shown. */
export const FLASH_CAUTION =
  'A screening after ITU-R BT.1702, not a certified photosensitivity test: the approved test of the broadcaster and the local rules decide.';

/** The edition the screening follows. */
export const FLASH_STANDARD = 'ITU-R BT.1702-3 (11/2023), Annex 1, Guideline 1';

/** What the screening does not look for, in words for people who read a result. */
export const FLASH_LIMITS: readonly string[] = [
  'regular light-dark patterns (stripes, checks) are not screened, whether they stand still or move',
  'the two fields of an interlaced frame are looked at together: flashes from field to field are not seen',
  'light is that of cells of 8 or 16 pixels: flashes of detail finer than a cell look weaker than they are; where such detail flickers the screening says so',
];

const worstSecond = frameRange.extend({
  /** A flash is two opposing changes; half a flash is a change without its answer. */
  flashes: z.number().nonnegative(),
  /** Largest part of the displayed screen that changed at once in that second, a fraction. */
  area: z.number().min(0).max(1),
});

const flashKind = z.object({
  /** Null: no change of more than a quarter of the screen in the whole file. */
  worstSecond: worstSecond.nullable(),
  /** Where there are more than three flashes within one second, over more than a quarter of the screen. */
  ranges: z.array(frameRange),
});

/** Flashes that can harm people with photosensitive epilepsy. */
export const flashes = z.object({
  standard: z.literal(FLASH_STANDARD),
  /** The display the light was worked out for. */
  model: z.object({
    signal: z.enum(['sdr', 'pq', 'hlg']),
    /** In words, with its source and what had to be assumed. */
    display: z.string(),
    /** cd/m2 of signal 1. */
    peak: z.number().positive(),
    /** Pixels on each side of a cell. */
    cell: z.number().int().positive(),
    /** Frames in which a second's flashes are counted. */
    secondFrames: z.number().int().positive(),
    /** How a saturated red was told, since the standard gives no figure. */
    saturatedRed: z.string(),
  }),
  general: flashKind,
  red: flashKind,
  /** Flashing within the limits that goes on for more than 5 s, which may be a risk all the same. */
  sustained: z.array(frameRange),
  /** Where detail finer than a cell flickers more than three times a second: whether it flashes was not measured. */
  fineDetail: z.array(frameRange),
  notScreened: z.array(z.string()),
  caution: z.literal(FLASH_CAUTION),
});
export type Flashes = z.infer<typeof flashes>;
export type FlashKind = z.infer<typeof flashKind>;
