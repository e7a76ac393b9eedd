import { z } from 'zod';
import { field } from '../documents/field.js';
import { region } from '../requirements/region.js';
import { REQUIREMENT_NAMES } from '../requirements/requirement.js';

const text = z.string().trim().min(1).max(2000);

export const waiver = z.strictObject({
  finding: field('The finding, by the name of its requirement.', z.enum(REQUIREMENT_NAMES)),
  target: field('Name of the target it was judged by. Default: every target.', z.string().min(1).optional()),
  range: field('The part of the programme it applies to. Default: all of it.', region.optional()),
  unmeasured: field(
    '`true`: accepts only that it could not be measured, and no later measurement that fails. ' +
      'Otherwise it accepts what was measured, and not that it cannot be measured another time.',
    z.boolean().optional(),
  ),
  by: field('Who accepts it, by name.', text),
  why: field('Why it is accepted.', text),
  until: field(
    'The last day it holds, YYYY-MM-DD, in the calendar of the machine that judges.',
    z.iso.date({ error: 'a day of the calendar, YYYY-MM-DD' }),
  ),
  sha256: field(
    'SHA-256 of the file it was given for: it does not apply to another file of the same name.',
    z.string().regex(/^[0-9a-f]{64}$/, 'a SHA-256, 64 hex digits'),
  ),
});
export type Waiver = z.infer<typeof waiver>;

export const waivers = z
  .strictObject({
    schema: field(
      'That this is a list of waivers, in the first edition of its schema.',
      z.literal('goodgate/waivers@1'),
    ),
    waivers: field(
      'The waivers: in each, a named person accepts one finding of one file until a given day.',
      z.array(waiver),
    ),
  })
  .describe('The file beside a master: `<name of the master>.waivers.yaml`.');
export type Waivers = z.infer<typeof waivers>;

export function waiversFile(master: string): string {
  return `${master}.waivers.yaml`;
}

/** The local date, `YYYY-MM-DD`, to compare with an expiry as text. */
export function localDay(now: Date): string {
  const two = (value: number): string => String(value).padStart(2, '0');
  const year = String(now.getFullYear()).padStart(4, '0');
  return `${year}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}
