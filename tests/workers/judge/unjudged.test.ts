import { expect, it } from 'vitest';
import { unjudgedVerdict } from '../../../workers/judge/unjudged.js';

it.each([
  ['unreadable', 'fail', 'fail', 'the file cannot be read: no index'],
  ['changed', 'warn', 'unmeasured', 'no index'],
] as const)('a file that is %s: verdict %s, finding %s', (why, verdict, outcome, measured) => {
  const judged = unjudgedVerdict('/card/a.mov', 'a-target', { why, reason: 'no index' });
  expect(judged).toMatchObject({ file: '/card/a.mov', target: 'a-target', verdict });
  expect(judged.findings).toMatchObject([{ requirement: 'decode', outcome, measured, waiver: null }]);
});
