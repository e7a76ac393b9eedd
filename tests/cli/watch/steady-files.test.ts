import { expect, it } from 'vitest';
import { isHalfCopy, SteadyFiles } from '../../../cli/watch/steady-files.js';

const file = (path: string, bytes: number, modified = '2026-11-30T20:00:00.000Z') => ({
  path,
  bytes,
  modified,
});

it('a file is steady when size and time have stayed for the whole time, and never while it is empty', () => {
  let now = 0;
  const steady = new SteadyFiles(60, () => now);
  const at = (seconds: number, ...files: ReturnType<typeof file>[]): string[] => {
    now = seconds * 1000;
    return steady.look(files).map(({ path }) => path);
  };
  expect(at(0, file('a', 5), file('empty', 0))).toEqual([]);
  expect(at(59.9, file('a', 5), file('empty', 0))).toEqual([]);
  expect(at(60, file('a', 5), file('empty', 0))).toEqual(['a']);
  // It grows on: all of the time anew.
  expect(at(70, file('a', 6))).toEqual([]);
  expect(at(129, file('a', 6), file('b', 1))).toEqual([]);
  expect(at(130, file('a', 6), file('b', 1))).toEqual(['a']);
  // The same size, written again.
  expect(at(140, file('a', 6, '2026-11-30T20:00:01.000Z'), file('b', 1))).toEqual([]);
  // Gone and back is new.
  expect(at(195)).toEqual([]);
  expect(at(201, file('b', 1))).toEqual([]);
});

it.each(['a.mov.part', 'a.mov.PARTIAL', 'a.mov.filepart', 'a.mxf.tmp', 'a.mov.crdownload', 'a.mov~'])(
  '%s is a half copy',
  (name) => expect(isHalfCopy(name)).toBe(true),
);

it.each(['a.mov', 'part.mov', 'a.part.mov', 'tmp', 'A001C001_tmp.mxf'])('%s is none', (name) =>
  expect(isHalfCopy(name)).toBe(false),
);
