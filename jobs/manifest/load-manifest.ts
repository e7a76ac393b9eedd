import { dirname, extname, resolve } from 'node:path';
import { stringify } from 'yaml';
import {
  checkDocument,
  LARGE_DOCUMENT,
  readYaml,
  SMALL_DOCUMENT,
  textOf,
} from '../documents/load-document.js';
import { plainPath } from '../documents/path-below.js';
import { MOST_ENTRIES, piecesOf } from '../documents/pieces.js';
import { readInPieces, requireLength } from '../documents/read-in-pieces.js';
import { readPlainFile } from '../documents/read-plain-file.js';
import { readCsv } from './csv-manifest.js';
import { type Manifest, manifest, manifestClip } from './manifest.js';

export interface LoadedManifest {
  readonly manifest: Manifest;
  /** Absolute folder of the manifest; its relative paths start here. */
  readonly folder: string;
}

/** For two hundred thousand clips with their facts; only what can be read in pieces may be so long. */
const MOST_BYTES = 512 * 1024 * 1024;

/**
 * A manifest from YAML, JSON or a CSV list, by the extension of the file. Errors: missing-file, bad-document.
 */
export async function loadManifest(path: string): Promise<LoadedManifest> {
  const file = resolve(path);
  const isCsv = extname(file).toLowerCase() === '.csv';
  const bytes = await readPlainFile(file, isCsv ? LARGE_DOCUMENT.bytes : MOST_BYTES);
  const checked = isCsv ? checkDocument(readCsv(textOf(bytes, path), path), manifest) : read(bytes, path);
  for (const clip of checked.clips) {
    clip.file = plainPath(clip.file);
    if (clip.parts !== undefined) clip.parts = clip.parts.map(plainPath);
  }
  return { manifest: checked, folder: dirname(file) };
}

function read(bytes: Buffer, file: string): Manifest {
  const pieces = bytes.length > SMALL_DOCUMENT.bytes ? piecesOf(bytes, 'clips') : null;
  if (pieces !== null) {
    const about = { list: 'clips', document: manifest, entry: manifestClip };
    const { document, entries } = readInPieces(bytes, file, pieces, about);
    return { ...document, clips: entries };
  }
  requireLength(bytes.length, LARGE_DOCUMENT, file, `and is no plain list of at most ${MOST_ENTRIES} clips`);
  return checkDocument(readYaml(textOf(bytes, file), file, LARGE_DOCUMENT), manifest);
}

/** The manifest as YAML, for a person to edit. */
export function formatManifest(document: Manifest): string {
  return `${HEAD}\n${stringify(document, { lineWidth: 0 })}`;
}

const HEAD = `# A manifest: the clips, what is known about each, and what to make of them.
# Settings under "defaults", or under one clip (which overrides them):
#   colour:     { transfer: S-Log3, primaries: S-Gamut3.Cine }   where the file's own tags are missing or wrong
#   scan:       interlaced-tff                                   where the file declares none, or a wrong one
#   sampleAspect: 2/1                                            a lens squeezed the picture, and the file does not declare it
#   frameRate:  24/1                                             of a picture sequence whose headers declare none
#   look:       { file: looks/show.cube, input: S-Log3/S-Gamut3.Cine }   relative to this file; the colour it is made for
#   sound:      [1, 2]                                           tracks of a stereo target: left and right; or mix
#   exposure:   0.5                                              in stops, applied in scene-linear light
#   targets:    [intermediate-422-10, proxy-h264]                names of built-in targets, or paths
#   skip:       true                                             nothing is made of the clip
# Settings for some clips, by folder, pattern or fact; of several that match each key is that of the last one:
#   rules: [{ match: { file: "B002/**", codec: h264 }, set: { look: null, targets: [proxy-h264] } }]
# "facts" are what each file declares. Leave them: they save reading every clip again.
`;
