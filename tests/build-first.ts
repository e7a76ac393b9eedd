import { execFileSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';

/** Builds what is older than its sources: threads and the command line are tested as they are built. */
export default function buildFirst(): void {
  const setup = fileURLToPath(new URL('../cli/setup.mjs', import.meta.url));
  execFileSync(process.execPath, [setup, '--only-build'], { stdio: ['ignore', 2, 2] });
}
