import { SUBJECT_NAMES, type Subject } from '../jobs/requirements/requirement.js';
import { wrap } from '../jobs/words/plain-text.js';
import type { LimitEntry, RequirementEntry, RequirementTable } from '../workers/judge/requirement-table.js';

const SUBJECT_TITLES: Readonly<Record<Subject, string>> = {
  format: 'Format of the picture',
  colour: 'Colour, levels and light',
  picture: 'Picture over time',
  sound: 'Sound',
  container: 'Container and coding',
  original: 'Copy and original',
};
const WIDTH = 80;

/** The requirements for a terminal of 80 columns. */
export function formatRequirements({ common, placed, requirements }: RequirementTable): string {
  const bySubject = SUBJECT_NAMES.map((subject) => {
    const title = SUBJECT_TITLES[subject];
    const entries = requirements.filter((entry) => entry.subject === subject).map(entryText);
    return [`${title}\n${'='.repeat(title.length)}`, ...entries].join('\n\n');
  });
  return [
    ...bySubject,
    ['Each of them also takes', ...common.flatMap(limitText)].join('\n'),
    ['Those that can be limited to regions also take', ...placed.flatMap(limitText)].join('\n'),
  ].join('\n\n');
}

function entryText({ name, title, demands, why, advice, limits, regions }: RequirementEntry): string {
  return [
    `${name}: ${title}`,
    ...indented(demands, 2),
    ...indented(`Why: ${why}`, 2),
    ...(advice === null ? [] : indented(`Advice: ${advice}`, 2)),
    ...limits.flatMap(limitText),
    ...(regions ? ['  Can be limited to regions.'] : []),
  ].join('\n');
}

function limitText({ name, required, words }: LimitEntry): string[] {
  const [first = '', ...rest] = indented(`${name}${required ? ' (required)' : ''}: ${words}`, 6);
  return [first.slice(2), ...rest];
}

function indented(text: string, by: number): string[] {
  return wrap(text, WIDTH - by).map((line) => ' '.repeat(by) + line);
}

/** The same as a page of documentation. */
export function requirementsPage({ common, placed, requirements }: RequirementTable): string {
  const subjects = SUBJECT_NAMES.flatMap((subject) => {
    const entries = requirements.filter((entry) => entry.subject === subject);
    return [
      `## ${SUBJECT_TITLES[subject]}`,
      entries
        .map(
          ({ name, title, regions }) =>
            `- [\`${name}\`](#${name}): ${title}${regions ? ' (also in regions)' : ''}`,
        )
        .join('\n'),
      ...entries.flatMap(section),
    ];
  });
  return `${[
    '# What a target can require',
    'Every requirement, what it demands, why, and the limits a target sets. Written by `goodgate targets --requirements markdown > docs/requirements.md` from the requirements themselves: change those, not this page.',
    ...subjects,
    '## What all of them take',
    limitList(common),
    'Those that can be limited to regions also take:',
    limitList(placed),
  ].join('\n\n')}\n`;
}

function section({ name, title, demands, why, advice, limits }: RequirementEntry): string[] {
  return [
    `### ${name}`,
    `**${title}.** ${demands}`,
    `Why: ${why}`,
    ...(advice === null ? [] : [`Advice: ${advice}`]),
    ...(limits.length === 0 ? [] : [limitList(limits)]),
  ];
}

function limitList(limits: readonly LimitEntry[]): string {
  return limits
    .map(({ name, required, words }) => `- \`${name}\`${required ? ' (required)' : ''}: ${words}`)
    .join('\n');
}
