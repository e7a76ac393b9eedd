import { resolve } from 'node:path';
import type { Command } from 'commander';
import { formatManifest } from '../../jobs/manifest/load-manifest.js';
import { count } from '../../jobs/words/numbers.js';
import { visible } from '../../jobs/words/plain-text.js';
import { writeWhole } from '../../workers/batch/write-whole.js';
import { scanFolder } from '../../workers/probe/card/scan-folder.js';
import { readEnvironment } from '../environment.js';
import { interruptSignal } from '../interrupt.js';
import { requireNewFile } from '../new-file.js';
import { print, say } from '../print.js';
import { scanProgress } from '../progress/scan-progress.js';
import { requireClips } from '../require-clips.js';

export function register(program: Command): void {
  program
    .command('scan')
    .description('read every file of the folders and write a manifest with the facts of each clip')
    .argument('<folder...>', 'folders copied from camera cards')
    .option('-o, --out <file>', 'write the manifest here (default: -, which is stdout)')
    .option('--force', 'replace a manifest that is there, and what was written into it by hand')
    .addHelpText(
      'after',
      '\nFiles that cannot be read are listed in the manifest with the reason.\nAdd there what the files do not state: camera curve, look, exposure, targets.',
    )
    .action(async (folders: string[], options: { out?: string; force?: boolean }) => {
      // As everywhere in a shell, `-` is stdout.
      const file = options.out === '-' ? undefined : options.out;
      if (file !== undefined) {
        await requireNewFile(resolve(file), {
          force: options.force ?? false,
          endings: ['.yaml', '.yml', '.json'],
        });
      }
      const interrupt = interruptSignal();
      const progress = scanProgress();
      try {
        const manifest = await scanFolder(
          folders.map((folder) => resolve(folder)),
          { tools: readEnvironment().tools, signal: interrupt.signal, onProgress: progress.update },
        );
        progress.stop();
        const unreadable = manifest.unreadable ?? [];
        requireClips(manifest.clips.length + unreadable.length, manifest.root);
        const text = formatManifest(manifest);
        if (file === undefined) print(text.trimEnd());
        else await writeWhole(resolve(file), text);
        for (const { file, reason } of unreadable) say(`cannot read ${visible(file)}: ${visible(reason)}`);
        say(
          `${count(manifest.clips.length, 'clip')}${unreadable.length === 0 ? '' : `, ${count(unreadable.length, 'file')} unreadable`}${file === undefined ? '' : `; wrote ${visible(file)}`}`,
        );
      } finally {
        progress.stop();
        interrupt.dispose();
      }
    });
}
