import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { z } from 'zod';

/** Version of this installation, from the package.json above the running file (the source or `dist`). */
export function goodgateVersion(): string {
  let folder = dirname(fileURLToPath(import.meta.url));
  for (;;) {
    try {
      const found = z
        .object({ name: z.literal('goodgate'), version: z.string() })
        .safeParse(JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8')));
      if (found.success) return found.data.version;
    } catch {
      // No package.json here: look one folder up.
    }
    const above = dirname(folder);
    if (above === folder) return '0.0.0';
    folder = above;
  }
}
