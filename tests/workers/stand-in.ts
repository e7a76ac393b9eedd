import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';

let count = 0;

/**
 * A program in ffmpeg's place that is the real one but where it decodes samples: then it does what `script`
 * (sh) says first. `"$@"` in it are ffmpeg's arguments, `first` (a function) gives them with options put
 * before the input.
 */
export async function standIn(folder: string, script: string): Promise<string> {
  const path = join(folder, `ffmpeg-${count++}`);
  const lines = [
    '#!/bin/sh',
    'case "$*" in *"-c:v rawvideo"*|*pcm_f64le*) ;; *) exec ffmpeg "$@";; esac',
    // Runs ffmpeg over 5 frames alone.
    'five() { for arg do shift; [ "$arg" = -i ] && set -- "$@" -t 0.2; set -- "$@" "$arg"; done; ffmpeg "$@"; }',
    script,
    'exec ffmpeg "$@"',
  ];
  await writeFile(path, lines.join('\n'), { mode: 0o755 });
  return path;
}
