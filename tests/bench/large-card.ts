import {
  closeSync,
  ftruncateSync,
  mkdirSync,
  mkdtempSync,
  openSync,
  rmSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { formatManifest } from '../../jobs/manifest/load-manifest.js';
import type { Manifest, ManifestClip } from '../../jobs/manifest/manifest.js';
import { clipFacts } from '../planner/make-facts.js';

const MODIFIED = new Date('2026-01-01T00:00:00.000Z');
const CLIPS_A_FOLDER = 500;

/** A folder with clips that are only holes in a file, and manifests of them as `scan` writes them. */
export interface LargeCard {
  readonly folder: string;
  readonly json: string;
  readonly yaml: string;
  remove(): void;
}

export function makeLargeCard(clips: number): LargeCard {
  const folder = mkdtempSync(join(tmpdir(), 'goodgate-scale-'));
  const root = join(folder, 'card');
  const manifest = largeManifest(root, clips);
  for (const { file, facts } of manifest.clips) {
    const path = join(root, file);
    mkdirSync(dirname(path), { recursive: true });
    const handle = openSync(path, 'w');
    ftruncateSync(handle, facts?.bytes ?? 0);
    closeSync(handle);
    utimesSync(path, MODIFIED, MODIFIED);
  }
  const [json, yaml] = [join(folder, 'card.json'), join(folder, 'card.yaml')];
  writeFileSync(json, `${JSON.stringify(manifest, null, 2)}\n`);
  writeFileSync(yaml, formatManifest(manifest));
  return { folder, json, yaml, remove: () => rmSync(folder, { recursive: true, force: true }) };
}

/** Clips in three kinds in turn, each with its own size, length, timecode and time of recording. */
export function largeManifest(root: string, clips: number): Manifest {
  return {
    ...{ schema: 'goodgate/manifest@1', title: 'scale', root },
    defaults: { targets: ['intermediate-422-10', 'proxy-h264'] },
    clips: Array.from({ length: clips }, (_, index) => clipOf(index)),
  };
}

function clipOf(index: number): ManifestClip {
  const reel = `A${Math.floor(index / CLIPS_A_FOLDER) + 1}`;
  const bytes = 1_000_000 + index;
  const kind = [{}, { codec: 'hevc', bitDepth: 10 }, { width: 3840, height: 2160 }][index % 3] ?? {};
  const durationSeconds = 4 + (index % 97);
  const two = (value: number): string => String(value).padStart(2, '0');
  const time = `${two(Math.floor(index / 3600) % 24)}:${two(Math.floor(index / 60) % 60)}:${two(index % 60)}`;
  const facts = clipFacts({ ...kind, durationSeconds, frames: durationSeconds * 25 });
  const tags = { creation_time: `2026-01-01T${time}Z` };
  return {
    file: `${reel}/clip-${index}.mov`,
    facts: {
      ...facts,
      ...{ bytes, modified: MODIFIED.toISOString() },
      container: { ...facts.container, durationSeconds, startTimecode: `${time}:00`, reel, tags },
      audio: facts.audio.map((stream) => ({ ...stream, durationSeconds })),
    },
  };
}
