import { access } from 'node:fs/promises';
import { execa } from 'execa';

/** Where systems without fontconfig keep a plain font. */
const KNOWN_FONTS = [
  '/usr/share/fonts/truetype/dejavu/DejaVuSansMono.ttf',
  '/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf',
  '/usr/share/fonts/dejavu-sans-mono-fonts/DejaVuSansMono.ttf',
  '/usr/share/fonts/truetype/liberation/LiberationMono-Regular.ttf',
  '/usr/share/fonts/TTF/DejaVuSansMono.ttf',
  '/System/Library/Fonts/Menlo.ttc',
  '/System/Library/Fonts/Monaco.ttf',
  '/Library/Fonts/Arial.ttf',
];

/**
 * A font file for burn-ins: fontconfig's choice of a monospaced one (running timecode stands still), or a
 * known place. Null when there is none.
 */
export async function findFont(): Promise<string | null> {
  const chosen = await execa('fc-match', ['--format=%{file}', 'monospace'], {
    stdin: 'ignore',
    timeout: 10_000,
    reject: false,
  });
  const candidates = [...(chosen.failed ? [] : [chosen.stdout.trim()]), ...KNOWN_FONTS];
  for (const path of candidates) {
    if (/\.(ttf|otf|ttc)$/i.test(path) && (await isReadable(path))) return path;
  }
  return null;
}

async function isReadable(path: string): Promise<boolean> {
  return access(path).then(
    () => true,
    () => false,
  );
}
