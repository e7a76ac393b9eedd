import { expect, it } from 'vitest';
import { requirementSet } from '../../../jobs/requirements/requirement.js';
import { limitsIn, limitsOf } from '../../../jobs/verdict/limits.js';
import { verdict as verdictSchema } from '../../../jobs/verdict/verdict.js';
import { judge } from '../../../workers/judge/judge.js';
import { measured } from '../../workers/judge/measured.js';

const require = requirementSet.parse({
  'peak-luminance': { max: 1000, severity: 'warn', source: 'S', regions: [{ from: 0, to: 100 }] },
  loudness: { target: -23, tolerance: 0.5 },
});

/** As a program reads it that knows nothing but the file. */
function readAgain() {
  const verdict = judge(measured(), { name: 't', require }, {});
  return verdictSchema.parse(JSON.parse(JSON.stringify(verdict)));
}

it('a verdict carries what its target set, defaults filled in, as data beside the sentence', () => {
  const { findings } = readAgain();
  const limits = Object.fromEntries(findings.map((finding) => [finding.requirement, finding.limits]));
  expect(limits).toEqual({
    decode: { maxErrors: 0, proof: true },
    'peak-luminance': { max: 1000, regions: [{ from: 0, to: 100 }] },
    loudness: { target: -23, tolerance: 0.5 },
  });
});

it('limits come back as the target had them', () => {
  const { decode, 'peak-luminance': peak, loudness } = limitsIn(readAgain());
  expect(decode?.maxErrors).toBe(0);
  expect(peak).toMatchObject({ max: 1000, regions: [{ from: 0, to: 100 }] });
  expect(loudness).toMatchObject({ target: -23, tolerance: 0.5 });
});

it('a document older than its limits, and a requirement of another version, hold none', () => {
  const old = verdictSchema.parse({
    ...readAgain(),
    findings: readAgain().findings.map(({ limits: _, ...finding }) => finding),
  });
  expect(limitsIn(old).loudness).toBeUndefined();
  const [decode] = readAgain().findings;
  if (decode === undefined) throw new Error('no finding');
  expect(limitsOf({ ...decode, requirement: 'of-another-version' })).toEqual({});
});
