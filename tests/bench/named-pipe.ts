import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** Lends a named pipe for as long as the work lasts. */
export function withNamedPipe<T>(work: (pipe: string) => T): T {
  const folder = mkdtempSync(join(tmpdir(), 'goodgate-bench-'));
  const pipe = join(folder, 'pipe');
  try {
    if (spawnSync('mkfifo', [pipe]).status !== 0) throw new Error('mkfifo failed');
    return work(pipe);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
