import { extname } from 'node:path';
import { oneOf } from '../../../jobs/words/numbers.js';
import { defineRequirement } from '../requirement.js';
import { hold, met, missed, unmeasured } from '../ruling.js';

/** Demuxer names of ffmpeg, one of which serves MOV and MP4 alike. */
const CONTAINER_NAMES: Readonly<Record<string, readonly string[]>> = {
  mov: ['mov', 'mp4'],
  matroska: ['mkv'],
  mxf: ['mxf'],
  mxf_opatom: ['mxf'],
  wav: ['wav'],
};
const EXTENSIONS: Readonly<Record<string, string>> = {
  '.mov': 'mov',
  '.qt': 'mov',
  '.mp4': 'mp4',
  '.m4v': 'mp4',
};

export const requirement = defineRequirement('container', {
  title: 'Container',
  why: 'Ingest takes certain wrappers and refuses the others.',
  expected: ({ is }) => oneOf(is),
  advice: ({ is }) => `Wrap the streams again as ${oneOf(is)}.`,
  rule: ({ is }, { container: { format }, file }) => {
    const taken: readonly string[] = is;
    const first = format.split(',')[0] ?? '';
    const possible = Object.hasOwn(CONTAINER_NAMES, first) ? (CONTAINER_NAMES[first] ?? []) : [];
    if (possible.length === 0) return missed(format);
    if (possible.every((name) => taken.includes(name))) return met(oneOf(possible));
    if (!possible.some((name) => taken.includes(name))) return missed(oneOf(possible));
    // MOV and MP4 share their structure; how the file is named is how players will take it.
    const named = EXTENSIONS[extname(file.path).toLowerCase()];
    if (named === undefined) {
      const reason = 'MOV and MP4 share one structure, and the name says neither';
      return unmeasured(reason, 'Name the file .mov or .mp4.');
    }
    return hold(taken.includes(named), `${named}, by its name`);
  },
});
