import { extname } from 'node:path';
import { oneOf } from '../../../jobs/words/numbers.js';
import { defineRequirement } from '../requirement.js';
import { met, metIf, missed, unmeasured } from '../ruling.js';

/** Demuxer names of ffmpeg; MOV and MP4 share one. */
const CONTAINER_NAMES: Readonly<Record<string, readonly string[]>> = {
  mov: ['mov', 'mp4'],
  matroska: ['mkv'],
  mxf: ['mxf'],
  mxf_opatom: ['mxf'],
  wav: ['wav'],
  image2: ['dpx', 'exr', 'tiff'],
  // A single picture.
  dpx_pipe: ['dpx'],
  exr_pipe: ['exr'],
  tiff_pipe: ['tiff'],
};
const EXTENSIONS: Readonly<Record<string, string>> = {
  '.mov': 'mov',
  '.qt': 'mov',
  '.mp4': 'mp4',
  '.m4v': 'mp4',
  '.dpx': 'dpx',
  '.exr': 'exr',
  '.tif': 'tiff',
  '.tiff': 'tiff',
};

export const requirement = defineRequirement('container', {
  title: 'Container',
  why: 'Ingest systems accept certain containers and refuse others.',
  expected: ({ is }) => oneOf(is),
  advice: ({ is }) => `Wrap the streams again as ${oneOf(is)}.`,
  rule: ({ is }, { container: { format }, file }) => {
    const accepted: readonly string[] = is;
    const first = format.split(',')[0] ?? '';
    const possible = Object.hasOwn(CONTAINER_NAMES, first) ? (CONTAINER_NAMES[first] ?? []) : [];
    if (possible.length === 0) return missed(format);
    if (possible.every((name) => accepted.includes(name))) return met(oneOf(possible));
    if (!possible.some((name) => accepted.includes(name))) return missed(oneOf(possible));
    // MOV and MP4 share their structure; players decide by the extension.
    const named = EXTENSIONS[extname(file.path).toLowerCase()];
    if (named === undefined) {
      const reason = 'MOV and MP4 share one structure, and the extension is neither';
      return unmeasured(reason, 'Name the file .mov or .mp4.');
    }
    return metIf(accepted.includes(named), `${named}, by its extension`);
  },
});
