import { extname } from 'node:path';
import { REQUIREMENT_NAMES, type RequirementName, subjectOf } from '../../jobs/requirements/requirement.js';
import type { Requirement } from './requirement.js';

type Requirements = { readonly [N in RequirementName]: Requirement<N> };

/**
 * Every requirement of the list in jobs/requirements, loaded from the file of its name in the folder of its
 * subject.
 */
export const REQUIREMENTS: Requirements = await loadRequirements();

/** The requirement of this name; undefined where this version has none. */
export function requirementOf(key: string): Requirements[RequirementName] | undefined {
  return Object.values(REQUIREMENTS).find(({ name }) => name === key);
}

async function loadRequirements(): Promise<Requirements> {
  const found = await Promise.all(REQUIREMENT_NAMES.map(async (name) => [name, await load(name)] as const));
  const all: unknown = Object.fromEntries(found);
  if (!isComplete(all)) throw new Error('a requirement has no definition');
  return all;
}

async function load<N extends RequirementName>(name: N): Promise<unknown> {
  // Source or built file, like this file itself.
  const file = `./${subjectOf(name)}/${name}${extname(new URL(import.meta.url).pathname)}`;
  const module: { readonly requirement?: unknown } = await import(new URL(file, import.meta.url).href);
  if (!isOf(name, module.requirement)) {
    throw new Error(`workers/judge/${file} does not define the requirement ${name}`);
  }
  return module.requirement;
}

/**
 * The compiler checks each definition against its limits; only the name is left to check.
 */
function isOf(name: RequirementName, value: unknown): boolean {
  return typeof value === 'object' && value !== null && 'name' in value && value.name === name;
}

function isComplete(all: unknown): all is Requirements {
  return (
    typeof all === 'object' && all !== null && REQUIREMENT_NAMES.every((name) => Object.hasOwn(all, name))
  );
}
