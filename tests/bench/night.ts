import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { availableParallelism, loadavg, tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { fixed } from '../../jobs/words/numbers.js';
import { findFont } from '../../workers/capabilities/find-font.js';
import { LOG, makeClip } from './night-clips.js';
import { timed } from './timed-program.js';

/** How many clips a night has, and how long each is. */
export interface Night {
  readonly hd: number;
  readonly uhd: number;
  readonly seconds: number;
}

const GOODGATE = new URL('../../dist/cli/main.js', import.meta.url).pathname;

/**
 * A night's work two ways, in turn: `goodgate run` with `intermediate-422-10` and `proxy-h264`, and a plain
 * shell loop that makes the same outputs with one ffmpeg each and then runs the stock filters on the three
 * files of a clip. Clips are camera log in ProRes HQ, textured and noisy; the loop has the same cube and the
 * same text burnt in.
 *
 * goodgate also judges and writes its reports; the loop does not.
 */
export async function* nightLines({ hd, uhd, seconds }: Night): AsyncGenerator<string> {
  const folder = mkdtempSync(join(tmpdir(), 'goodgate-night-'));
  try {
    const card = join(folder, 'card');
    mkdirSync(card);
    for (let n = 1; n <= hd; n++) makeClip(join(card, `HD${n}.mov`), '1920x1080', seconds, n);
    for (let n = 1; n <= uhd; n++) makeClip(join(card, `UHD${n}.mov`), '3840x2160', seconds, n);
    const clips = readdirSync(card).sort();
    const cube = join(folder, 'show.cube');
    const lut = ['lut', '--from', LOG, '--to', 'bt709', '-o', cube];
    if (spawnSync('node', [GOODGATE, ...lut]).status !== 0) throw new Error('no cube could be made');
    const manifest = join(folder, 'night.yaml');
    writeFileSync(manifest, manifestOf(card, clips, cube));

    const loop = timed('bash', ['-c', loopScript(await fontPath(), cube)], {
      CARD: card,
      OUT: join(folder, 'loop'),
    });
    const out = join(folder, 'goodgate');
    const own = timed('node', [GOODGATE, 'run', manifest, '--out', out, '--quiet'], {
      GOODGATE_STATE: join(folder, 'state'),
    });

    yield `a night of ${hd} HD and ${uhd} UHD clips of ${seconds} s, in turn`;
    yield `  shell loop   wall ${loop.wall.toFixed(1)} s   processor ${loop.processor.toFixed(1)} s`;
    yield `  goodgate     wall ${own.wall.toFixed(1)} s   processor ${own.processor.toFixed(1)} s`;
    const cores = availableParallelism();
    yield `  ${cores} cores busy with it: loop ${fixed(loop.processor / loop.wall / cores, 2)}, goodgate ${fixed(own.processor / own.wall / cores, 2)}; load of the machine ${fixed(loadavg()[1] ?? 0, 1)}`;
    yield `  goodgate / loop   wall ${(own.wall / loop.wall).toFixed(2)}   processor ${(own.processor / loop.processor).toFixed(2)}`;
    for (const clip of clips) {
      const original = join(card, clip);
      const stem = basename(clip, '.mov');
      const [theirs, ours] = [join(folder, 'loop', clip), join(out, 'intermediate-422-10', clip)];
      const proxies = [join(folder, 'loop', `${stem}.mp4`), join(out, 'proxy-h264', `${stem}.mp4`)] as const;
      yield `  ${stem.padEnd(6)} intermediate PSNR ${psnr(theirs, original)} -> ${psnr(ours, original)} dB, ${mbit(theirs, seconds)} -> ${mbit(ours, seconds)} Mbit/s; proxy ${mbit(proxies[0], seconds)} -> ${mbit(proxies[1], seconds)} Mbit/s`;
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function manifestOf(root: string, clips: readonly string[], cube: string): string {
  return JSON.stringify({
    schema: 'goodgate/manifest@1',
    title: 'A night of the bench',
    root,
    defaults: {
      colour: { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine' },
      look: { file: cube, input: LOG },
      targets: ['intermediate-422-10', 'proxy-h264'],
    },
    clips: clips.map((file) => ({ file })),
  });
}

async function fontPath(): Promise<string> {
  const font = await findFont();
  if (font === null) throw new Error('no font to burn in with: install fonts-dejavu');
  return font;
}

/** What a careful assistant would write: an ffmpeg for each output, then the stock filters on each file. */
function loopScript(font: string, cube: string): string {
  const text = `fontfile=${font}:fontcolor=white:box=1:boxcolor=black@0.5:x=(w-text_w)/2`;
  const proxy = [
    `scale=w='min(1920,iw)':h='min(1080,ih)'`,
    'format=gbrpf32le',
    `lut3d=file=${cube}:interp=tetrahedral`,
    'scale=out_color_matrix=bt709:out_range=limited',
    'format=yuv420p',
    `drawtext=${text}:fontsize=h/20:y=h/20:text='$name'`,
    `drawtext=${text}:fontsize=h/20:y=h-h/10:timecode='01\\:00\\:00\\:00':timecode_rate=25`,
  ].join(',');
  return `
set -eu
mkdir -p "$OUT"
run() { ffmpeg -nostdin -hide_banner -v error -y "$@"; }
for clip in "$CARD"/*.mov; do
  name=$(basename "$clip" .mov)
  run -i "$clip" -map 0:v -map 0:a -c:v prores_ks -profile:v hq -c:a pcm_s24le "$OUT/$name.mov"
  run -i "$clip" -map 0:v -map 0:a -vf "${proxy.replaceAll('"', '\\"')}" -c:v libx264 -preset medium -crf 23 \\
    -maxrate 8M -bufsize 16M -c:a aac -b:a 160k -movflags +faststart "$OUT/$name.mp4"
  for file in "$clip" "$OUT/$name.mov" "$OUT/$name.mp4"; do
    run -i "$file" -vf signalstats,blackdetect,freezedetect,idet -af ebur128=peak=true -f null -
  done
done`;
}

function psnr(file: string, original: string): string {
  const { stderr } = spawnSync(
    'ffmpeg',
    ['-nostdin', '-hide_banner', '-i', file, '-i', original, '-lavfi', 'psnr', '-f', 'null', '-'],
    { encoding: 'utf8' },
  );
  return /average:(\S+)/.exec(stderr)?.[1]?.slice(0, 5) ?? '?';
}

function mbit(path: string, seconds: number): string {
  return ((8 * statSync(path).size) / seconds / 1e6).toFixed(1);
}
