import { z } from 'zod';
import { field } from '../documents/field.js';
import { region } from './region.js';

/**
 * Parts of the schemas of requirements. Fractions are written as such: 0.01 is 1 %.
 */
export const count = z.number().int().nonnegative();
export const positiveInt = z.number().int().positive();
export const fraction = z.number().min(0).max(1);
export const oneOrMore = <T extends z.ZodType>(item: T) => z.array(item).min(1);

const severity = field(
  'Outcome where the requirement is not met: `fail` or `warn`.',
  z.enum(['fail', 'warn']).default('fail'),
);
const source = field(
  'The document and clause the limit comes from, or "common practice, no source".',
  z.string().optional(),
);
const regions = field(
  'Parts of the programme in which the requirement holds. Default: all of it.',
  z.array(region).min(1).optional(),
);
const joinGaps = field(
  'Places at most this many frames apart are reported as one. Default: only those that touch.',
  count.optional(),
);

/** A requirement on the whole file, with its limits. `words` says what it demands. */
export function requirement<T extends z.ZodRawShape>(words: string, limits: T) {
  return field(words, z.strictObject({ ...limits, severity, source }).optional());
}

/**
 * A requirement whose measurement shows where it is missed, so that it can be limited to parts of the
 * programme. `within`, in workers/judge, defines how these are judged.
 */
export function placedRequirement<T extends z.ZodRawShape>(words: string, limits: T) {
  return field(words, z.strictObject({ ...limits, severity, source, regions, joinGaps }).optional());
}

export const proof = field(
  'Whether it must be proven: what cannot be measured is then `unmeasured`. With `false` it passes unless the ' +
    'measurement contradicts it: lossy coding hides how many bits are used, a dark programme hides its range, and ' +
    'a layer may declare nothing.',
  z.boolean().default(true),
);
