import { existsSync, readFileSync } from 'node:fs';
import { mkdir, mkdtemp, readdir, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import type { FfmpegCommand, FfmpegProgress } from '../../../workers/ffmpeg/command.js';
import { INPUT_GUARD } from '../../../workers/ffmpeg/input-guard.js';
import { runFfmpeg } from '../../../workers/ffmpeg/run-ffmpeg.js';
import { fakeFfmpeg } from './fake-ffmpeg.js';
import { HOSTILE_NAMES } from './hostile-names.js';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-run-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

const COLOUR = { path: 'color=gray:s=32x32:r=25', options: ['-f', 'lavfi'] };
const ENDLESS: FfmpegCommand = {
  inputs: [{ path: COLOUR.path, options: ['-f', 'lavfi', '-re'] }],
  outputs: [{ path: '', options: ['-f', 'null'] }],
};

/** False for a process that is gone or only waits for init to collect it. */
function isRunning(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return !existsSync('/proc/self/stat') || !/\) Z /.test(readFileSync(`/proc/${pid}/stat`, 'utf8'));
  } catch {
    return false;
  }
}

describe('the arguments ffmpeg receives', () => {
  it('are those of the command, element by element, with nothing split or added by the library', async () => {
    const fake = await fakeFfmpeg(folder);
    const result = await runFfmpeg(
      {
        inputs: [
          { path: '/media/a b:c%d.mov', options: ['-itsoffset', '0 1'] },
          { path: COLOUR.path, options: ['-f', 'lavfi'] },
        ],
        outputs: [
          { path: '-out.mov', options: ['-vf', 'drawtext=text=two words', '-metadata', 'title=a b'] },
          { path: '/fifo/x', options: ['-an'] },
          { path: '/lone', options: ['-lone option'] },
          { path: 'ignored', options: ['-f', 'null'] },
        ],
      },
      { tools: { ffmpeg: fake.path } },
    );
    const globals = [
      ...['-hide_banner', '-nostdin', '-y', '-loglevel', 'repeat+level+info'],
      ...['-nostats', '-progress', 'pipe:1', '-stats_period', '0.5'],
    ];
    expect(INPUT_GUARD.slice(0, 2)).toEqual(['-protocol_whitelist', 'file,pipe']);
    expect(await fake.argv()).toEqual([
      ...globals,
      ...[...INPUT_GUARD, '-itsoffset', '0 1', '-i', 'file:/media/a b:c%d.mov'],
      ...[...INPUT_GUARD, '-f', 'lavfi', '-i', COLOUR.path],
      ...[
        '-y',
        '-y',
        '-vf',
        'drawtext=text=two words',
        '-metadata',
        'title=a b',
        `file:${process.cwd()}/-out.mov`,
      ],
      ...['-y', '-an', 'file:/fifo/x'],
      ...['-y', '-lone option', 'file:/lone'],
      ...['-y', '-f', 'null', '-'],
    ]);
    expect(result).toMatchObject({ exitCode: 0, killedBy: null, errorCount: 0 });
    expect(result.commandLine).toContain("-vf 'drawtext=text=two words'");
  });

  it('start one process only: no probing of capabilities or of the input beside it', async () => {
    const fake = await fakeFfmpeg(folder, 'echo started >> "$0.count"');
    await runFfmpeg(ENDLESS, { tools: { ffmpeg: fake.path }, onProgress: () => {} });
    expect(await readFile(`${fake.path}.count`, 'utf8')).toBe('started\n');
  });
});

describe('a real run', () => {
  it.each(HOSTILE_NAMES)('reads and writes a file named %j', async (name) => {
    const safe = name.replaceAll('/', '\u2215');
    const original = join(folder, `${safe}.nut`);
    const copy = join(folder, `${safe}.copy.nut`);
    const make = await runFfmpeg({
      inputs: [COLOUR],
      outputs: [{ path: original, options: ['-frames:v', '2', '-c:v', 'ffv1'] }],
    });
    expect(make).toMatchObject({ exitCode: 0, errors: [] });
    const remux = await runFfmpeg({
      inputs: [{ path: original, options: [] }],
      outputs: [{ path: copy, options: ['-c', 'copy'] }],
    });
    expect(remux).toMatchObject({ exitCode: 0, errors: [] });
    expect((await stat(copy)).size).toBeGreaterThan(100);
  });

  it('reports progress that ends at the frames made', async () => {
    const seen: FfmpegProgress[] = [];
    await runFfmpeg(
      { inputs: [COLOUR], outputs: [{ path: '', options: ['-frames:v', '50', '-f', 'null'] }] },
      { onProgress: (progress) => seen.push(progress) },
    );
    expect(seen.at(-1)).toEqual({ frames: 50, seconds: 2 });
  });

  it('gives a failure back as a result, with the error lines', async () => {
    const junk = join(folder, 'junk.mov');
    await writeFile(junk, 'this is no clip');
    const result = await runFfmpeg({
      inputs: [{ path: junk, options: [] }],
      outputs: [{ path: '', options: ['-f', 'null'] }],
    });
    expect(result.exitCode).toBeGreaterThan(0);
    expect(result.killedBy).toBeNull();
    expect(result.errors.join('\n')).toMatch(/Invalid data found/);
  });

  it.each([
    [
      'another protocol',
      'clip.m3u8',
      '#EXTM3U\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\nhttp://127.0.0.1:9/x.ts\n',
    ],
    [
      'another file',
      'clip2.m3u8',
      '#EXTM3U\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\nsecret.ts\n#EXT-X-ENDLIST\n',
    ],
    ['another file by script', 'clip.mov', 'ffconcat version 1.0\nfile secret.ts\n'],
  ])('a playlist dressed as a clip does not reach %s', async (_, name, text) => {
    const secret = await runFfmpeg({
      inputs: [COLOUR],
      outputs: [{ path: join(folder, 'secret.ts'), options: ['-frames:v', '2', '-c:v', 'mpeg2video'] }],
    });
    expect(secret.exitCode).toBe(0);
    const clip = join(folder, name);
    await writeFile(clip, text);
    const result = await runFfmpeg({
      inputs: [{ path: clip, options: [] }],
      outputs: [{ path: '', options: ['-f', 'null'] }],
    });
    expect(result.exitCode).toBeGreaterThan(0);
    expect(result.errors.join('\n')).toMatch(/not on whitelist/i);
  });

  it.skipIf(!existsSync('/dev/full'))('names a full disk', async () => {
    const run = runFfmpeg({
      inputs: [COLOUR],
      outputs: [{ path: '/dev/full', options: ['-frames:v', '100', '-f', 'rawvideo'] }],
    });
    await expect(run).rejects.toMatchObject({ code: 'disk-full', family: 'world' });
  });
});

describe('the log', () => {
  const logging = async (script: string) => {
    const fake = await fakeFfmpeg(folder, script);
    const lines: string[] = [];
    const result = await runFfmpeg(ENDLESS, {
      tools: { ffmpeg: fake.path },
      onLine: (line) => lines.push(line),
    });
    return { lines, result };
  };

  it('comes line by line, in order, whole characters and the unended last line included', async () => {
    const { lines } = await logging(
      `printf '[info] one\\n[info] tw' >&2; sleep 0.05; printf 'o\\r\\n[info] \\303' >&2; sleep 0.05; printf '\\251\\nlast' >&2`,
    );
    expect(lines).toEqual(['[info] one', '[info] two', '[info] é', 'last']);
  });

  it('counts errors by level, behind contexts too, and repeated ones each', async () => {
    const { result } = await logging(`cat >&2 <<'LOG'
[info] harmless [error] word
[mov,mp4,m4a @ 0x55d0c0ffee00] [error] damaged
[mov,mp4,m4a @ 0x55d0c0ffee00] [error] damaged
[h264 @ 0x1] [mov @ 0x2] [fatal] gone
x265 [error]: bad parameter
[warning] No space left on device
LOG
exit 1`);
    expect(result.errorCount).toBe(4);
    expect(result.errors).toContain('[mov,mp4,m4a @ 0x55d0c0ffee00] [error] damaged');
    expect(result.exitCode).toBe(1);
  });

  it('takes errors from the report, whole where the log has them inside the line of another thread', async () => {
    const { lines, result } = await logging(`
report=$(printf '%s' "$FFREPORT" | sed -e 's/^file=//' -e 's/:level=16$//')
{ echo 'Command line:'; echo 'ffmpeg [error] no error'; echo '[prores @ 0x1] [error] first'; echo 'invalid frame header'; } > "$report"
echo '[prores @ 0x1] [error] first' >&2
echo '[showinfo@a @ 0x2] [info] color_range:tvinvalid frame header' >&2
echo 'x265 [error]: bad parameter' >&2`);
    expect(result.errorCount).toBe(3);
    expect(result.errors.toSorted()).toEqual([
      '[error] invalid frame header',
      '[prores @ 0x1] [error] first',
      'x265 [error]: bad parameter',
    ]);
    expect(lines).toHaveLength(4);
    expect(lines).toContain('[showinfo@a @ 0x2] [info] color_range:tvinvalid frame header');
  });

  it('counts each error of a real run once, in a folder with any name', async () => {
    const odd = join(folder, "a 100% 'b': \\c");
    await mkdir(odd);
    vi.stubEnv('TMPDIR', odd);
    try {
      const lines: string[] = [];
      const result = await runFfmpeg(
        {
          inputs: [{ path: join(folder, 'not there'), options: [] }],
          outputs: [{ path: '', options: ['-f', 'null'] }],
        },
        { onLine: (line) => lines.push(line) },
      );
      expect(result.exitCode).not.toBe(0);
      expect(result.errors).toEqual([expect.stringMatching(/\[(error|fatal)\].*No such file or directory/)]);
      expect(lines.filter((line) => line.includes('No such file'))).toHaveLength(1);
      expect(await readdir(odd)).toEqual([]);
    } finally {
      vi.unstubAllEnvs();
    }
  });

  it('stays bounded however much comes', async () => {
    const { result, lines } = await logging(
      `yes '[error] flood' | head -5000 >&2; head -c 3000000 /dev/zero | tr '\\0' x >&2`,
    );
    expect(result.errorCount).toBe(5000);
    expect(result.errors).toHaveLength(1000);
    expect(lines.at(-1)?.length).toBeLessThan(20_000);
  });
});

describe('an end before its time', () => {
  it('on abort, politely', async () => {
    const abort = new AbortController();
    const run = runFfmpeg(ENDLESS, { signal: abort.signal, onProgress: () => abort.abort() });
    expect(await run).toMatchObject({ killedBy: 'abort' });
  });

  it('before the start, without starting', async () => {
    const fake = await fakeFfmpeg(folder);
    const result = await runFfmpeg(ENDLESS, { tools: { ffmpeg: fake.path }, signal: AbortSignal.abort() });
    expect(result).toMatchObject({ killedBy: 'abort', exitCode: null });
    await expect(fake.argv()).rejects.toThrow();
  });

  it('for good when SIGTERM is not heard, with everything the child started', async () => {
    const fake = await fakeFfmpeg(
      folder,
      `trap '' TERM; sleep 60 & echo "[info] $! $$" >&2; while :; do sleep 0.2; done`,
    );
    const abort = new AbortController();
    let pids: number[] = [];
    const result = await runFfmpeg(ENDLESS, {
      tools: { ffmpeg: fake.path },
      signal: abort.signal,
      graceMs: 150,
      onLine: (line) => {
        pids = line.match(/\d+/g)?.map(Number) ?? [];
        abort.abort();
      },
    });
    expect(result).toMatchObject({ killedBy: 'abort', exitCode: null });
    expect(pids).toHaveLength(2);
    await expect.poll(() => pids.filter(isRunning)).toEqual([]);
  });

  it('when nothing moves, though progress repeats itself', async () => {
    const fake = await fakeFfmpeg(
      folder,
      `while :; do printf 'frame=3\\nout_time_us=120000\\nprogress=continue\\n'; sleep 0.05; done`,
    );
    const result = await runFfmpeg(ENDLESS, { tools: { ffmpeg: fake.path }, stallTimeoutMs: 400 });
    expect(result.killedBy).toBe('stall');
  });

  it('not while it moves, until the whole time is used up', async () => {
    const fake = await fakeFfmpeg(
      folder,
      `i=0; while :; do i=$((i+1)); printf "frame=$i\\nprogress=continue\\n"; sleep 0.05; done`,
    );
    const result = await runFfmpeg(ENDLESS, {
      tools: { ffmpeg: fake.path },
      stallTimeoutMs: 500,
      timeoutMs: 1200,
    });
    expect(result.killedBy).toBe('timeout');
    expect(result.seconds).toBeGreaterThan(1.1);
  });
});

describe('an ffmpeg that cannot be started', () => {
  it.each([
    ['is not there', '/nowhere/ffmpeg'],
    ['is a folder', '/tmp'],
  ])('%s', async (_, ffmpeg) => {
    await expect(runFfmpeg(ENDLESS, { tools: { ffmpeg } })).rejects.toMatchObject({ code: 'missing-tool' });
  });

  it('may not be run', async () => {
    const ffmpeg = join(folder, 'not-executable');
    await writeFile(ffmpeg, '#!/bin/sh', { mode: 0o644 });
    await expect(runFfmpeg(ENDLESS, { tools: { ffmpeg } })).rejects.toMatchObject({ code: 'missing-tool' });
  });

  it('because an argument is too long for the system', async () => {
    const huge = {
      ...ENDLESS,
      outputs: [{ path: '', options: ['-vf', 'x'.repeat(4_000_000), '-f', 'null'] }],
    };
    await expect(runFfmpeg(huge)).rejects.toMatchObject({ code: 'missing-tool' });
  });
});
