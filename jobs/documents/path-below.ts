import { z } from 'zod';

/** Linux allows 4,095 bytes per path and 255 per name; the folders of a job are added in front. */
const LONGEST_PATH_BYTES = 2_048;
const LONGEST_NAME_BYTES = 255;

function namesAFileBelow(path: string): boolean {
  return path.split('/').every((part) => {
    const names = part !== '' && part !== '.' && part !== '..';
    return names && !part.includes('\0') && Buffer.byteLength(part) <= LONGEST_NAME_BYTES;
  });
}

/**
 * A path below a known folder, with `/` between its parts: not absolute, no empty part, `.` or `..`, no NUL,
 * no longer than file systems allow. Documents and job data come from people and from Redis; a path joined to
 * a folder must stay in it.
 */
export const pathBelow = z
  .string()
  .min(1)
  .refine((path) => Buffer.byteLength(path) <= LONGEST_PATH_BYTES && namesAFileBelow(path), {
    message: 'a path below the folder, without empty parts, `.` or `..`',
  });

/** An absolute path: no `..`, no NUL, not too long for a file system. */
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
 * Turns `./A001//clip.mov`, as other programs write it, into `A001/clip.mov`. An absolute path is returned as
 * it is.
 */
export function plainPath(path: string): string {
  if (path.startsWith('/')) return path;
  return path
    .split('/')
    .filter((part) => part !== '' && part !== '.')
    .join('/');
}

/** Path of a clip in a manifest: below its root once `.` and empty parts are removed. */
export const clipPath = z
  .string()
  .min(1)
  .refine((path) => pathBelow.safeParse(plainPath(path)).success, {
    message: "a path below the manifest's root: not absolute, without `..`",
  });
