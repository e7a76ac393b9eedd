import { z } from 'zod';
import { field } from '../documents/field.js';

/** HH:MM:SS:FF as people write it; only with the rate of a file is it known whether it exists. */
const timecodeLabel = z
  .string()
  .regex(
    /^\d{2}([:;])\d{2}\1\d{2}[:;.,]\d{2,3}$/,
    'a timecode in quotes, "HH:MM:SS:FF", or the number of a frame',
  );
const edge = z.union([z.number().int().nonnegative(), timecodeLabel]);

export const region = z
  .strictObject({
    from: field(
      'First frame in it: a timecode of the file in quotes, "10:00:00:00", or a frame from 0. Default: ' +
        'the start.',
      edge.optional(),
    ),
    to: field(
      'First frame after it, in the same form as `from`. Default: the end of the programme.',
      edge.optional(),
    ),
  })
  .refine(({ from, to }) => from !== undefined || to !== undefined, {
    message: 'from, to, or both',
  })
  .refine(({ from, to }) => from === undefined || to === undefined || typeof from === typeof to, {
    message: 'from and to both as timecodes or both as frames',
  })
  .refine(({ from, to }) => typeof from !== 'number' || typeof to !== 'number' || from < to, {
    message: 'a region that begins before it ends: `to` is the first frame after it',
  })
  .refine(({ from, to }) => typeof from !== 'string' || from !== to, {
    message: 'a region that is not empty: `to` is the first frame after it',
  })
  .describe(
    'A part of the programme, half open: `from` is in it, `to` is not. Both as timecodes or both as frames.',
  );
export type Region = z.infer<typeof region>;
