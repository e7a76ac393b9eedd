import { expect, it } from 'vitest';
import { ProbedOutputs } from '../../workers/probed-outputs.js';
import { clipFacts } from '../planner/make-facts.js';

it('keeps the facts of the last two thousand outputs, of one key the newest', () => {
  const probed = new ProbedOutputs();
  const facts = Array.from({ length: 2_001 }, () => clipFacts());
  for (const [index, each] of facts.entries()) probed.keep(`key ${index}`, each);
  expect(probed.of('key 0')).toBeUndefined();
  expect(probed.of('key 1')).toBe(facts[1]);
  const newer = clipFacts();
  probed.keep('key 1', newer);
  probed.keep('another', clipFacts());
  expect(probed.of('key 1')).toBe(newer);
  expect(probed.of('key 2')).toBeUndefined();
  expect(probed.of('key 2000')).toBe(facts[2000]);
});
