import { describe, expect, it } from 'vitest';
import { type RequirementName, requirementSet } from '../../../jobs/requirements/requirement.js';
import type { Finding } from '../../../jobs/verdict/verdict.js';
import { judge } from '../../../workers/judge/judge.js';
import type { JudgeContext } from '../../../workers/judge/requirement.js';
import { type Change, measured } from './measured.js';

/** What the file is like, the limits as a target document writes them, and what comes out. */
export type Row = readonly [
  what: string,
  limits: object,
  change: Change,
  outcome: Finding['outcome'],
  original?: JudgeContext['original'],
];

/** The finding on one requirement, of the faultless file of measured.ts with a change made to it. */
export function findingOf(
  name: RequirementName,
  limits: object,
  change: Change,
  original?: JudgeContext['original'],
): Finding {
  const require = requirementSet.parse({ [name]: limits });
  const { findings } = judge(measured(change), { name: 't', require }, { original });
  const finding = findings.find(({ requirement }) => requirement === name);
  if (finding === undefined) throw new Error(`${name} was not answered`);
  return finding;
}

/**
 * Holds a requirement to its rows: just inside, just outside, and missing. At least one must fail, so that
 * the severity a target sets is seen to count; `alwaysFails`: where none does, since nobody may deliver such
 * a file.
 */
export function describeRows(
  name: RequirementName,
  rows: readonly Row[],
  { alwaysFails = false }: { readonly alwaysFails?: boolean } = {},
): void {
  describe(name, () => {
    it.each(rows.map((row) => ({ what: row[0], row })))(
      '$what',
      ({ row: [, limits, change, outcome, original] }) => {
        const finding = findingOf(name, limits, change, original);
        expect(finding.outcome, finding.measured).toBe(outcome);
        expect(finding.expected).not.toBe('');
        expect(finding.measured).not.toBe('');
        expect(finding.advice === '').toBe(outcome === 'pass');
        expect(finding.why).toMatch(/^[A-Z].*\.$/);
      },
    );

    it(`keeps the source of a limit, and ${alwaysFails ? 'fails whatever the severity' : 'warns where the target says so'}`, () => {
      const miss = rows.find(([, limits, , outcome]) => outcome === 'fail' && !('severity' in limits));
      if (miss === undefined) throw new Error(`no row of ${name} fails`);
      const [, limits, change, , original] = miss;
      expect(findingOf(name, { ...limits, severity: 'warn', source: 'S' }, change, original)).toMatchObject({
        outcome: alwaysFails ? 'fail' : 'warn',
        source: 'S',
      });
    });
  });
}
