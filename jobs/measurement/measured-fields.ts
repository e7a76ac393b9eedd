import { z } from 'zod';
import { field } from '../documents/field.js';
import { scanName } from '../manifest/colour.js';
import { frameRange } from './frame-range.js';

const count = z.number().int().nonnegative();
const confidence = field('How sure this is.', z.enum(['high', 'low']));
/** Places of one kind. */
function places<T extends z.ZodRawShape>(shape: T) {
  return {
    places: field('How many places there are.', count),
    ranges: field('The 500 longest of them, in order of time.', z.array(frameRange.extend(shape))),
  };
}

/**
 * One frame of so many is repeated: 24 frames in 25, 25 in 30, 24 in 30, and other ratios seen in practice.
 */
export const REPEATS_ONE_IN = [3, 4, 5, 6, 7, 8, 9, 10, 12, 24, 25] as const;

export const CADENCE_NAMES = [
  'none',
  '2:3',
  '2:3:3:2',
  '2:2-shifted',
  'repeat-2:3',
  'repeat-2:2',
  ...REPEATS_ONE_IN.map((frames) => `repeat-1-in-${frames}` as const),
] as const;
export const cadenceName = z
  .enum(CADENCE_NAMES)
  .describe(
    'How pictures were converted to another rate. With fields: `2:3` and `2:3:3:2` are the two ways to ' +
      'make 60 fields of 24 pictures, `2:2-shifted` is one picture for two fields that belong to ' +
      'different frames. With whole frames: `repeat-2:3` shows pictures for two and three frames ' +
      'alternately, `repeat-2:2` each for two, `repeat-1-in-N` repeats one of N frames. `none`: every ' +
      'frame or field shows new motion.',
  );
export type CadenceName = z.infer<typeof cadenceName>;

/** Scan and cadence as detected from motion, whatever the file declares. Row 0 is the top field. */
export const measuredFields = z.object({
  scan: field('Scan of most of the programme; null: too little motion to detect it.', scanName.nullable()),
  confidence,
  framesTold: field(
    'Frames whose own motion shows their scan.',
    z.object({
      progressive: field('Frames that are progressive.', count),
      topFirst: field('Frames with the top field first.', count),
      bottomFirst: field('Frames with the bottom field first.', count),
    }),
  ),
  segments: field(
    'The programme from end to end.',
    z.object(places({ scan: field('Scan of the segment; null where nothing moves.', scanName.nullable()) })),
  ),
  combed: field(
    'Frames in which neighbouring lines are from different times, outside interlaced segments.',
    z.object({
      ...places({}),
      frames: field('How many frames are combed.', count),
      worstFrame: field('The frame with the most combing; null where none is combed.', count.nullable()),
      worstArea: field('Combed area in it, as a fraction of the picture.', z.number().min(0).max(1)),
    }),
  ),
  cadence: field(
    'How pictures of another rate were converted to this one.',
    z.object({
      name: field(
        'Cadence of most of the moving programme; null: too little motion to detect it.',
        cadenceName.nullable(),
      ),
      confidence,
      segments: field('The parts with a cadence.', z.object(places({ name: cadenceName }))),
      breaks: field('Frames at which the pattern of a cadence is interrupted.', z.object(places({}))),
    }),
  ),
});
export type MeasuredFields = z.infer<typeof measuredFields>;
