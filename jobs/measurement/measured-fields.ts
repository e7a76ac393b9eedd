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

/** One frame of so many is shown twice: 24 frames in 25, 25 in 30, 24 in 30, and what else has been met. */
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
    'How pictures of one rate were put into another. With fields: `2:3` and `2:3:3:2` are the two ' +
      'ways 24 pictures become 60 fields, `2:2-shifted` is one picture for every two fields, but not ' +
      'the two of one frame. With whole frames: `repeat-2:3` shows pictures for two and three frames ' +
      'in turn, `repeat-2:2` each for two, `repeat-1-in-N` one of N frames twice. `none`: every frame ' +
      'or field moves on.',
  );
export type CadenceName = z.infer<typeof cadenceName>;

/** Scan and cadence as the moving picture shows them, whatever the file declares. Row 0 is the top field. */
export const measuredFields = z.object({
  scan: field('What most of the programme is; null: too little motion to tell.', scanName.nullable()),
  confidence,
  framesTold: field(
    'Frames whose own motion tells their scan.',
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
    'Frames in which neighbouring lines come from different times, outside the segments that are interlaced.',
    z.object({
      ...places({}),
      frames: field('How many frames are combed.', count),
      worstFrame: field('The frame that is combed most; null where none is.', count.nullable()),
      worstArea: field('Area that is combed in it, as a fraction of the picture.', z.number().min(0).max(1)),
    }),
  ),
  cadence: field(
    'How pictures of another rate were put into this one.',
    z.object({
      name: field(
        'What most of the moving programme follows; null: too little motion to tell.',
        cadenceName.nullable(),
      ),
      confidence,
      segments: field('The parts that follow a cadence.', z.object(places({ name: cadenceName }))),
      breaks: field(
        'Frames at which a cadence starts again out of step with what went before.',
        z.object(places({})),
      ),
    }),
  ),
});
export type MeasuredFields = z.infer<typeof measuredFields>;
