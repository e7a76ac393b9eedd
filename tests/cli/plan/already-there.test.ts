import { expect, it } from 'vitest';
import { alreadyThereLines } from '../../../cli/plan/already-there.js';

it('what the folder of a plan holds is told by reason: a clip once, and files nobody asks for any more', () => {
  const clip = { clip: 'a.mov' };
  const lines = alreadyThereLines(
    [
      { ...clip, target: 'proxy', why: null },
      { ...clip, target: 'master', why: null },
      { clip: 'b.mov', target: 'proxy', why: 'touched' },
      { clip: 'd.mov', target: 'proxy', why: 'touched' },
      { clip: 'c.mov', target: 'proxy', why: 'gone' },
    ],
    2,
    [{ ...clip, target: 'small', path: 'small/a.mov' }],
  );
  expect(lines).toEqual([
    'there already, from the same clip by the same recipe: 2 outputs (a.mov)',
    'to be measured again, touched since it was judged, proxy: 2 outputs (b.mov, d.mov)',
    'to be made again, gone since it was judged, proxy: 1 output (c.mov)',
    'no longer asked for: 1 file, which nothing judges or deletes (small/a.mov)',
    'of other manifests: 2 clips, which stay as they are',
  ]);
});
