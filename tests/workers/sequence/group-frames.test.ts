import { expect, it } from 'vitest';
import { numberRanges, sequenceName } from '../../../jobs/manifest/sequence-path.js';
import { groupFrames } from '../../../workers/sequence/group-frames.js';

const many = (folder: string, ...names: string[]) => names.map((name) => `/card/${folder}${name}`);

it.each<[string, string[], object]>([
  ['one folder, one sequence', many('s/', 'a.1001.dpx', 'a.1002.dpx'), { sequences: ['/card/s/a.#.dpx'] }],
  [
    'several in one folder',
    many('', 'a.1.exr', 'b_2.exr', 'a.2.exr', 'b_3.exr'),
    { sequences: ['/card/a.#.exr', '/card/b_#.exr'] },
  ],
  ['names of a number alone', many('s/', '0001.tif', '0002.tif'), { sequences: ['/card/s/#.tif'] }],
  ['mixed padding', many('', 'a1.dpx', 'a02.dpx', 'a003.dpx'), { sequences: ['/card/a#.dpx'] }],
  [
    'a number that is the same in all',
    many('', 'a.1.v2.dpx', 'a.2.v2.dpx'),
    { sequences: ['/card/a.#.v2.dpx'] },
  ],
  ['a picture by itself', many('', 'frame1.dpx'), { sequences: [], files: ['/card/frame1.dpx'] }],
  [
    'no pictures',
    many('', 'C0001.mov', 'C0002.mov'),
    { sequences: [], files: many('', 'C0001.mov', 'C0002.mov') },
  ],
  [
    'other endings apart',
    many('', 'a1.dpx', 'a2.exr'),
    { sequences: [], files: many('', 'a1.dpx', 'a2.exr') },
  ],
  [
    'names that would break a pattern',
    many('', '-%d".1.dpx', '-%d".2.dpx'),
    { sequences: ['/card/-%d".#.dpx'] },
  ],
  [
    'a # in a name',
    many('', 'a#1.dpx', 'a#2.dpx'),
    { sequences: [], misnamed: many('', 'a#1.dpx', 'a#2.dpx') },
  ],
])('finds %s', (_, paths, expected) => {
  expect(groupFrames(paths)).toMatchObject(expected);
});

it('takes only pictures with a # for sequences', () => {
  expect(sequenceName('/a/b.#.dpx')).toEqual({ folder: '/a/', prefix: 'b.', suffix: '.dpx' });
  expect([sequenceName('/a/b#.mov'), sequenceName('/a#/b.dpx')]).toEqual([null, null]);
});

it('writes numbers as ranges', () => {
  expect(numberRanges([1, 3, 4, 5, 9])).toEqual(['1', '3-5', '9']);
});
