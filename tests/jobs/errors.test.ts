import { expect, it } from 'vitest';
import { withoutCodes } from '../../jobs/errors.js';

it.each([
  ['outside-roots: /card lies outside', '/card lies outside'],
  [
    'the worker on cart (process 4) leaves it to others: missing-file: there is no such file',
    'the worker on cart (process 4) leaves it to others: there is no such file',
  ],
  ['cancelled: cancelled by anna on cart', 'cancelled by anna on cart'],
  ['the batch was cancelled: by anna', 'the batch was cancelled: by anna'],
  ['A001: C001.mov', 'A001: C001.mov'],
])('%s is told as %s', (reason, told) => expect(withoutCodes(reason)).toBe(told));
