import { expect, it } from 'vitest';
import { target } from '../../../jobs/targets/target.js';
import { LOG_FILE, MARKERS_FOLDER, ORIGINALS, WRITTEN_FOLDERS } from '../../../workers/batch/folder.js';

it.each([...WRITTEN_FOLDERS, MARKERS_FOLDER, ORIGINALS, LOG_FILE.split('/')[0]])(
  'no target is called %s, where the batch keeps something else than its outputs',
  (name) => {
    const { shape } = target;
    expect(shape.name.safeParse('proxy').success).toBe(true);
    expect(shape.name.safeParse(name).success).toBe(false);
  },
);
