import { readdirSync } from 'node:fs';
import { expect, it } from 'vitest';
import { REQUIREMENT_NAMES, SUBJECT_NAMES, subjectOf } from '../../../jobs/requirements/requirement.js';
import { REQUIREMENTS } from '../../../workers/judge/requirements.js';

const SOURCES = new URL('../../../workers/judge/', import.meta.url);

/** `colour/signal-range`, for every file of a subject's folder with this ending. */
function filesOf(folder: URL, ending: string): string[] {
  return SUBJECT_NAMES.flatMap((subject) =>
    readdirSync(new URL(`${subject}/`, folder))
      .filter((file) => file.endsWith(ending))
      .map((file) => `${subject}/${file.slice(0, -ending.length)}`),
  );
}

const expected = REQUIREMENT_NAMES.map((name) => `${subjectOf(name)}/${name}`).sort();

it('every requirement of the schema is defined under its own name', () => {
  expect(Object.keys(REQUIREMENTS)).toEqual(REQUIREMENT_NAMES);
  for (const name of REQUIREMENT_NAMES) expect(REQUIREMENTS[name].name).toBe(name);
});

it('no file of a subject defines a requirement the schema does not have', async () => {
  const defining: string[] = [];
  for (const file of filesOf(SOURCES, '.ts')) {
    const module: object = await import(new URL(`${file}.ts`, SOURCES).href);
    if ('requirement' in module) defining.push(file);
  }
  expect(defining.sort()).toEqual(expected);
});

it('every requirement has its rows in the test file of its name, and every test file its source', () => {
  const tests = filesOf(new URL('./', import.meta.url), '.test.ts');
  expect(tests).toEqual(expect.arrayContaining(expected));
  expect(filesOf(SOURCES, '.ts')).toEqual(expect.arrayContaining(tests));
});
