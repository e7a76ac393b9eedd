import { chmod, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';

export interface FakeFfmpeg {
  readonly path: string;
  /** The arguments of its last run, exactly as the kernel handed them over. */
  argv(): Promise<string[]>;
}

/** A program in ffmpeg's place that writes down its arguments and then does what `script` (sh) says. */
export async function fakeFfmpeg(folder: string, script = 'exit 0'): Promise<FakeFfmpeg> {
  const path = join(folder, `fake-${Math.random().toString(36).slice(2)}`);
  await writeFile(path, `#!/bin/sh\nfor arg; do printf '%s\\0' "$arg"; done > "$0.argv"\n${script}\n`);
  await chmod(path, 0o755);
  return {
    path,
    argv: async () => (await readFile(`${path}.argv`, 'utf8')).split('\0').slice(0, -1),
  };
}
