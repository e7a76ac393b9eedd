import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import { type Experience, experience, NO_EXPERIENCE } from '../../jobs/experience/experience.js';
import { readDocument } from '../../workers/batch/read-document.js';
import { writeJson } from '../../workers/batch/write-whole.js';

function fileIn(stateFolder: string): string {
  return join(stateFolder, 'experience.json');
}

/** What this machine knows of finished work; nothing where the file is missing or is none. */
export async function readStateExperience(stateFolder: string): Promise<Experience> {
  return (await readDocument(fileIn(stateFolder), experience)) ?? NO_EXPERIENCE;
}

/** @throws GoodgateError `cannot-write`, `disk-full` */
export async function writeStateExperience(stateFolder: string, known: Experience): Promise<void> {
  await mkdir(stateFolder, { recursive: true, mode: 0o700 });
  await writeJson(fileIn(stateFolder), known);
}
