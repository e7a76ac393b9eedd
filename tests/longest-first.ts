import { BaseSequencer, type TestSpecification } from 'vitest/node';

/**
 * The files that start the whole program first, those that need no other program last: short ones at the end
 * leave no processor idle. Within each kind as vitest does it: the longest of the last run first, or the
 * largest where there was none.
 */
export class LongestFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const sorted = await super.sort(files);
    return sorted.toSorted((a, b) => rank(a) - rank(b));
  }
}

function rank({ project, moduleId }: TestSpecification): number {
  if (project.name === 'pure') return 2;
  return moduleId.includes('/tests/system/') ? 0 : 1;
}
