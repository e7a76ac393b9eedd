import { execFileSync } from 'node:child_process';
import { rmSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

/** What ffmpeg answered, for all tests of a run; asked anew by the first test of the next. */
export const CAPABILITIES_ASKED = fileURLToPath(
  new URL('../node_modules/.cache/capabilities', import.meta.url),
);

/** Builds what is older than its sources: threads and the command line are tested as they are built. */
export default function buildFirst(): void {
  rmSync(CAPABILITIES_ASKED, { recursive: true, force: true });
  const setup = fileURLToPath(new URL('../cli/setup.mjs', import.meta.url));
  execFileSync(process.execPath, [setup, '--only-build'], { stdio: ['ignore', 2, 2] });
}
