import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

/** Names a folder for what ffmpeg says that it can do: the first test that asks keeps it for all of a run. */
export const CAPABILITIES_VARIABLE = 'GOODGATE_TESTS_CAPABILITIES';

/** Builds what is older than its sources: threads and the command line are tested as they are built. */
export default function buildFirst(): () => void {
  const setup = fileURLToPath(new URL('../cli/setup.mjs', import.meta.url));
  execFileSync(process.execPath, [setup, '--only-build'], { stdio: ['ignore', 2, 2] });
  const folder = mkdtempSync(join(tmpdir(), 'goodgate-tests-'));
  process.env[CAPABILITIES_VARIABLE] = folder;
  return () => rmSync(folder, { recursive: true, force: true });
}
