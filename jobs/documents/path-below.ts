import { z } from 'zod';

/** Linux takes 4,095 bytes a path and 255 a name; a job's own folders come before it. */
const LONGEST_PATH_BYTES = 2_048;
const LONGEST_NAME_BYTES = 255;

function namesAFileBelow(path: string): boolean {
  return path.split('/').every((part) => {
    const names = part !== '' && part !== '.' && part !== '..';
    return names && !part.includes('\0') && Buffer.byteLength(part) <= LONGEST_NAME_BYTES;
  });
}

/**
 * A path below a folder that is known from elsewhere, `/` between its parts: never upwards, never absolute,
 * no empty part, `.` or `..`, no NUL, no longer than file systems take. Documents and job data come from
 * people and from Redis; what is joined to a folder must stay in it.
 */
export const pathBelow = z
  .string()
  .min(1)
  .refine((path) => Buffer.byteLength(path) <= LONGEST_PATH_BYTES && namesAFileBelow(path), {
    message: 'a path below the folder, without empty parts, `.` or `..`',
  });

/** An absolute path that says where it leads: no `..`, no NUL, not too long for a file system. */
export const absolutePath = z
  .string()
  .refine(
    (path) =>
      path.startsWith('/') &&
      !path.includes('\0') &&
      !path.split('/').includes('..') &&
      Buffer.byteLength(path) <= LONGEST_PATH_BYTES,
    { message: 'an absolute path without `..`' },
  );

/**
 * `./A001//clip.mov`, as lists made by other programs write it, is `A001/clip.mov`. An absolute path stays as
 * it is.
 */
export function plainPath(path: string): string {
  if (path.startsWith('/')) return path;
  return path
    .split('/')
    .filter((part) => part !== '' && part !== '.')
    .join('/');
}

/** A clip as a manifest names it: below its root, whatever `.` and empty parts say the same. */
export const clipPath = z
  .string()
  .min(1)
  .refine((path) => pathBelow.safeParse(plainPath(path)).success, {
    message: "a path below the manifest's root: not absolute, without `..`",
  });
