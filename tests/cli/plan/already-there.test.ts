import { expect, it } from 'vitest';
import { alreadyThereLines } from '../../../cli/plan/already-there.js';

it('what the folder of a plan holds is told by reason: a clip once, and files nobody asks for any more', () => {
  const clip = { clip: 'a.mov', bytes: 1_000_000 };
  const lines = alreadyThereLines(
    [
      { ...clip, target: 'proxy', why: null },
      { ...clip, target: 'master', why: null },
      { ...clip, clip: 'b.mov', target: 'proxy', why: 'touched' },
      { ...clip, clip: 'd.mov', target: 'proxy', why: 'touched' },
      { ...clip, clip: 'c.mov', target: 'proxy', why: 'gone' },
    ],
    2,
    [
      { ...clip, target: 'small', path: 'small/a.mov', why: 'not-asked' },
      { ...clip, target: 'effects', path: 'effects/a/a.#.dpx', why: 'not-asked' },
      { ...clip, target: 'proxy', path: 'proxy/e.mp4', why: 'refused' },
    ],
  );
  expect(lines).toEqual([
    'there already, from the same clip by the same recipe: 2 outputs (a.mov)',
    'to be measured again, touched since it was judged, proxy: 2 outputs (b.mov, d.mov)',
    'to be made again, gone since it was judged, proxy: 1 output (c.mov)',
    'left to make: 1 of 5 outputs, about 1.00 MB',
    'asked for, and cannot be made now: of earlier plans 1 file, which nothing judges or deletes (proxy/e.mp4)',
    'no longer asked for: 1 file and 1 picture sequence, which nothing judges or deletes (small/a.mov, effects/a/a.#.dpx)',
    'of other manifests: 2 clips, which stay as they are',
  ]);
});
