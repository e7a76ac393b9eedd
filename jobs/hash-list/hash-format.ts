import { z } from 'zod';
import { field } from '../documents/field.js';

/**
 * Formats of hashes in an ASC MHL v2.0 list, in the order of its published schema, and the form of each
 * (specification, appendix D, as its examples write it). The schema still knows `xxh32`; nothing new is
 * written in it.
 */
const FORMS = {
  c4: /^c4[1-9A-HJ-NP-Za-km-z]{88}$/,
  md5: /^[0-9a-f]{32}$/,
  sha1: /^[0-9a-f]{40}$/,
  xxh128: /^[0-9a-f]{32}$/,
  xxh3: /^[0-9a-f]{16}$/,
  xxh32: /^[0-9a-f]{8}$/,
  xxh64: /^[0-9a-f]{16}$/,
} as const;

export type HashFormat = keyof typeof FORMS;
export const HASH_FORMATS = Object.keys(FORMS) as readonly HashFormat[];
/** Those a new list may be written in. */
export const WRITTEN_FORMATS = HASH_FORMATS.filter((format) => format !== 'xxh32');
export const hashFormat = z.enum(HASH_FORMATS);

export function isHashFormat(word: string): word is HashFormat {
  return Object.hasOwn(FORMS, word);
}

/** The hash as it is compared: hexadecimal digits in lower case; null where it is no hash of this format. */
export function plainHash(format: HashFormat, text: string): string | null {
  const plain = format === 'c4' ? text.trim() : text.trim().toLowerCase();
  return FORMS[format].test(plain) ? plain : null;
}

/** One hash of a file, as a job carries it. */
export const listedHash = z
  .strictObject({
    format: field('Which hash it is.', hashFormat),
    value: field(
      'The hash, as its format is written: hexadecimal digits, for C4 its own letters.',
      z.string().max(90),
    ),
  })
  .refine(({ format, value }) => plainHash(format, value) === value, { message: 'no hash of this format' });
export type ListedHash = z.infer<typeof listedHash>;
