import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { formatRequirements, requirementsPage } from '../../cli/requirements-text.js';
import { REQUIREMENT_NAMES } from '../../jobs/requirements/requirement.js';
import { textWidth } from '../../jobs/words/plain-text.js';
import { requirementTable } from '../../workers/judge/requirement-table.js';

const table = requirementTable();
const PAGE = new URL('../../docs/requirements.md', import.meta.url);

it('the table holds every requirement once, each with demand and reason, each limit with its words', () => {
  expect(table.requirements.map(({ name }) => name)).toEqual(REQUIREMENT_NAMES);
  for (const { name, title, demands, why, limits } of table.requirements) {
    for (const words of [title, demands, why, ...limits.map((limit) => limit.words)]) {
      expect(words, name).not.toBe('');
    }
  }
});

it('says what must be set, and what is common to all', () => {
  const peak = table.requirements.find(({ name }) => name === 'peak-luminance');
  expect(peak?.limits.map(({ name, required }) => [name, required])).toEqual([
    ['max', true],
    ['tolerance', false],
  ]);
  expect(peak?.regions).toBe(true);
  expect(table.common.map(({ name }) => name)).toEqual(['severity', 'source']);
  expect(table.placed.map(({ name }) => name)).toEqual(['regions', 'joinGaps']);
});

it('fits 80 columns on a terminal', () => {
  const lines = formatRequirements(table).split('\n');
  expect(lines.filter((line) => textWidth(line) > 80)).toEqual([]);
  for (const { name, title } of table.requirements) expect(lines).toContain(`${name}: ${title}`);
});

it('docs/requirements.md is what the requirements say', () => {
  const message =
    'docs/requirements.md is out of date; write it with: goodgate targets --requirements markdown > docs/requirements.md';
  expect(readFileSync(PAGE, 'utf8'), message).toBe(requirementsPage(table));
});
