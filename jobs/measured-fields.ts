import { z } from 'zod';
import { scanName } from './colour.js';
import { frameRange } from './frame-range.js';

const count = z.number().int().nonnegative();
const confidence = z.enum(['high', 'low']);
/** Places of one kind. `ranges` lists the 500 longest in order of time; `places` counts all of them. */
function places<T extends z.ZodRawShape>(shape: T) {
  return { places: count, ranges: z.array(frameRange.extend(shape)) };
}

export const CADENCE_NAMES = [
  'none',
  '2:3',
  '2:3:3:2',
  '2:2-shifted',
  'repeat-2:3',
  'repeat-2:2',
  'repeat-1-in-4',
  'repeat-1-in-5',
  'repeat-1-in-6',
  'repeat-1-in-25',
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
  /** What most of the programme is; null: too little motion to tell. */
  scan: scanName.nullable(),
  confidence,
  /** Frames whose own motion tells their scan. */
  framesTold: z.object({ progressive: count, topFirst: count, bottomFirst: count }),
  /** The programme from end to end; null where nothing moves. */
  segments: z.object(places({ scan: scanName.nullable() })),
  /** Frames in which neighbouring lines come from different times, outside the segments that are interlaced. */
  combed: z.object({
    ...places({}),
    frames: count,
    worstFrame: count.nullable(),
    /** Fraction of the picture. */
    worstArea: z.number().min(0).max(1),
  }),
  cadence: z.object({
    /** What most of the moving programme follows; null: too little motion to tell. */
    name: cadenceName.nullable(),
    confidence,
    segments: z.object(places({ name: cadenceName })),
    /** Frames at which a cadence starts again out of step with what went before. */
    breaks: z.object(places({})),
  }),
});
export type MeasuredFields = z.infer<typeof measuredFields>;
