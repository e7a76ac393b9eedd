// Removes from dist what was built of sources that are gone. The compiler leaves it, and the digest of the
// program's own code, by which workers know one another, would count it.
import { existsSync, readdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const home = fileURLToPath(new URL('../..', import.meta.url));
const dist = join(home, 'dist');
for (const name of readdirSync(dist, { recursive: true, encoding: 'utf8' })) {
  const built = /^(?<source>.*)\.js(\.map)?$/.exec(name)?.groups;
  // The bundle removes its own.
  if (name.startsWith('bundle')) continue;
  if (built !== undefined && !existsSync(join(home, `${built.source}.ts`))) rmSync(join(dist, name));
}
