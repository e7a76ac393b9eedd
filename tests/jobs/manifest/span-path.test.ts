import { expect, it } from 'vitest';
import { spanParts, spanPath } from '../../../jobs/manifest/span-path.js';

it.each([
  ['one file', '/card/a.mov', []],
  ['parts beside it', '/card/a_1.mov', ['/card/a_2.mov', '/card/a_3.mov']],
  ['parts on another slot', '/one/a_1.mov', ['/two/a_2.mov', '/two/deep/a_3.mov']],
  ['names that look like something else', '/c/-a b+c.mov', ['/c/#"%d.mov']],
  ['parts below the folder of the first', '/c/a.mov', ['/c/d/a.mov']],
])('%s comes back', (_, first, others) => {
  const path = spanPath(first, others);
  expect(spanParts(path)).toEqual(others.length === 0 ? null : [first, ...others]);
});
