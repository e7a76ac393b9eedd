import { spawnSync } from 'node:child_process';
import { randomFillSync } from 'node:crypto';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { WRITTEN_FORMATS } from '../../jobs/hash-list/hash-format.js';

const BYTES = 2 ** 29;
const RUNS = 3;

type HashFileIn = typeof import('../../workers/hash-list/hash-files.js').hashFileIn;

/**
 * Megabytes a second of hashing one file that lies in memory, wall and processor time, best of three, and of
 * `xxhsum -H1` (XXH64) in turn with it where that is installed.
 */
export async function* hashSpeedLines(hashFileIn: HashFileIn): AsyncGenerator<string> {
  const folder = mkdtempSync(join(tmpdir(), 'goodgate-hash-speed-'));
  try {
    const file = join(folder, 'noise');
    writeFileSync(file, randomFillSync(Buffer.allocUnsafe(BYTES)));
    yield 'hashing: format, MB a second of wall and of processor time';
    for (const format of WRITTEN_FORMATS) {
      const runs: { wall: number; processor: number }[] = [];
      for (let run = 0; run < RUNS; run++) {
        const [started, before] = [performance.now(), process.cpuUsage()];
        await hashFileIn([format], file);
        const { user, system } = process.cpuUsage(before);
        runs.push({ wall: BYTES / 1e3 / (performance.now() - started), processor: BYTES / (user + system) });
      }
      const best = (key: 'wall' | 'processor'): string =>
        Math.max(...runs.map((each) => each[key])).toFixed(0);
      yield `  ${format.padEnd(8)}${best('wall').padStart(6)}${best('processor').padStart(7)}`;
    }
    yield xxhsumLine(file);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function xxhsumLine(file: string): string {
  let best = 0;
  for (let run = 0; run < RUNS; run++) {
    const started = performance.now();
    if (spawnSync('xxhsum', ['-H1', file]).status !== 0) return '  xxhsum is not installed here';
    best = Math.max(best, BYTES / 1e3 / (performance.now() - started));
  }
  return `  xxhsum  ${best.toFixed(0).padStart(6)}`;
}
