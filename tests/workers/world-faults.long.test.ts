import { access, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { pino } from 'pino';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { checkFiles } from '../../cli/check/check-files.js';
import { readEnvironment } from '../../cli/environment.js';
import { exitCodeOf } from '../../jobs/errors.js';
import type { ClipFacts } from '../../jobs/manifest/facts.js';
import { loadTarget } from '../../jobs/targets/load-target.js';
import { below, originalMeasurementFile, resultFile } from '../../workers/batch/folder.js';
import type { ClipContext, Site } from '../../workers/clip-context.js';
import { handleClip } from '../../workers/handle-clip.js';
import { verdictExitCode } from '../../workers/judge/exit-code.js';
import { measureFile } from '../../workers/measure/measure-file.js';
import { probeClip } from '../../workers/probe/probe-clip.js';
import { flat, temporaryFolder, writeKnownClip } from '../media/known-clip.js';
import { planned } from './make/recipes.js';
import { clipJob } from './queue/clip-job.js';
import { standIn } from './stand-in.js';

/** Faults of the world while a file is measured: none is ever told of the file, and none is kept. */
const PIXELS = 64 * 36;
const folder = await temporaryFolder();
afterAll(folder.remove);
const path = (name: string): string => join(folder.path, name);

let whole: ClipFacts;
beforeAll(async () => {
  await writeKnownClip(path('whole.mkv'), {
    ...{ width: 64, height: 36, pixelFormat: 'yuv422p10le' },
    colour: { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'tv' },
    frames: Array.from({ length: 19 }, (_, i) => [
      flat(300 + i, PIXELS),
      flat(512, PIXELS / 2),
      flat(512, PIXELS / 2),
    ]),
  });
  whole = await probeClip(path('whole.mkv'));
  const coded = ['-f', 'lavfi', '-i', 'testsrc2=s=64x36:r=25:d=0.8', '-c:v', 'libx264', path('coded.mp4')];
  await execa('ffmpeg', ['-nostdin', '-loglevel', 'error', ...coded]);
  // As a bad sector leaves it.
  const bytes = await readFile(path('coded.mp4'));
  await writeFile(path('damaged.mp4'), bytes.fill(0, bytes.length >> 1, (bytes.length >> 1) + 300));
});

const NO_MEMORY = 'echo "[error] Error while decoding stream #0:0: Cannot allocate memory" >&2';
/** Once, and never again. */
const once = (script: string): string => `if [ ! -e "$0.seen" ]; then touch "$0.seen"; ${script}; fi`;

const FAULTS: readonly [string, string, string][] = [
  ['killed after five frames', 'five "$@"; kill -KILL $$', 'ffmpeg-failed'],
  [
    'asked to end after five frames',
    'five "$@"; echo "[info] Exiting normally, received signal 15." >&2; exit 255',
    'ffmpeg-failed',
  ],
  [
    'ended with 1 after five frames',
    'five "$@"; echo "[fatal] Conversion failed!" >&2; exit 1',
    'ffmpeg-failed',
  ],
  // Without a report of its errors, these are read from its log.
  ['out of memory, and goes on', `unset FFREPORT; five "$@"; ${NO_MEMORY}; exit 0`, 'ffmpeg-failed'],
  ['stopping after five frames, with 0 and without a word', 'five "$@"; exit 0', 'ffmpeg-failed'],
  ['hanging', 'exec sleep 60', 'ffmpeg-timeout'],
];

describe('an ffmpeg that is', () => {
  it.each(FAULTS)('%s is no word about the file', async (_, script, code) => {
    const ffmpeg = await standIn(folder.path, script);
    const stallMs = code === 'ffmpeg-timeout' ? 300 : 60_000;
    const measuring = measureFile(path('whole.mkv'), { tools: { ffmpeg }, stallMs, facts: whole });
    await expect(measuring).rejects.toMatchObject({ code, family: 'world' });
  });

  it.each([
    ['killed before its first frame', 'kill -KILL $$'],
    ['ended with 1 before its first frame', 'exit 1'],
    ['stopping after five frames without a word', 'five "$@"; exit 0'],
  ])('%s once is tried again', async (_, script) => {
    const ffmpeg = await standIn(folder.path, once(script));
    const { video, decode } = await measureFile(path('whole.mkv'), { tools: { ffmpeg }, facts: whole });
    expect(video?.frames).toBe(19);
    expect(decode).toMatchObject({ errors: 0, messages: [], truncated: false });
  });
});

describe('a file that ends early and of which no decoder complains', () => {
  it('is told so, since ffprobe finds no more in it', async () => {
    // Its header declares twice its length: Duration (RFC 9559, 5.1.2.3: 44 89, 8 bytes, a double, in ms).
    const bytes = await readFile(path('whole.mkv'));
    const at = bytes.indexOf(Buffer.from('448988', 'hex')) + 3;
    bytes.writeDoubleBE(2 * bytes.readDoubleBE(at), at);
    await writeFile(path('early.mkv'), bytes);
    const { video, decode } = await measureFile(path('early.mkv'));
    expect(video?.frames).toBe(19);
    expect(decode).toMatchObject({ truncated: true, errors: 0 });
  });
});

describe('true damage', () => {
  it('is told, whether ffmpeg goes on over it or ends with an error', async () => {
    const going = await measureFile(path('damaged.mp4'));
    expect(going.decode.errors).toBeGreaterThan(0);
    // -xerror: the real ffmpeg ends with 1 at the first error.
    const ffmpeg = await standIn(folder.path, 'exec ffmpeg -xerror -err_detect explode "$@"');
    const ended: (number | null)[] = [];
    const options = {
      tools: { ffmpeg },
      onEnded: ({ exitCode }: { exitCode: number | null }) => ended.push(exitCode),
    };
    const stopping = await measureFile(path('damaged.mp4'), options);
    expect(stopping.decode.errors).toBeGreaterThan(0);
    // Believed when it was told twice.
    expect(ended).toEqual([1, 1]);
  });

  it('that ffmpeg ended over once, and then did not, is what the whole decode says', async () => {
    const ffmpeg = await standIn(folder.path, once('exec ffmpeg -xerror -err_detect explode "$@"'));
    expect((await measureFile(path('damaged.mp4'), { tools: { ffmpeg } })).decode.errors).toBeGreaterThan(0);
  });
});

function siteWith(ffmpeg: string | undefined): Site {
  return {
    capabilities: {
      ...{ ffmpegVersion: 'x', ffprobeVersion: 'x', encoders: {}, filters: [], muxers: [] },
      ...{ fontFile: null, cores: 2 },
    },
    ...{ version: 'x', roots: [folder.path], tools: { ffmpeg } },
  };
}
const silent = pino({ level: 'silent' });
const context: ClipContext = {
  log: silent,
  signal: new AbortController().signal,
  progress: () => undefined,
};

async function exists(file: string): Promise<boolean> {
  return access(file).then(
    () => true,
    () => false,
  );
}

async function check(file: string, script: string) {
  const environment = readEnvironment({
    GOODGATE_STATE: path('state'),
    GOODGATE_FFMPEG: await standIn(folder.path, script),
  });
  return checkFiles([path(file)], [await loadTarget('hd-sdr-master', { baseFolder: folder.path })], {
    ...{ environment, colour: undefined, log: silent, report: null },
    signal: new AbortController().signal,
  });
}

describe('in a check', () => {
  it('such a fault ends in 3, without a verdict', async () => {
    const error = await check('whole.mkv', 'five "$@"; kill -KILL $$').catch((thrown: unknown) => thrown);
    expect(error).toMatchObject({ code: 'ffmpeg-failed' });
    expect(exitCodeOf(error)).toBe(3);
  });

  it('true damage ends in 1', async () => {
    const { verdicts } = await check('damaged.mp4', 'exec ffmpeg -xerror -err_detect explode "$@"');
    const decode = verdicts[0]?.findings.find(({ requirement }) => requirement === 'decode');
    expect(decode).toMatchObject({ outcome: 'fail' });
  });

  it.each([
    ['overwritten', 'printf x | dd of="$FILE" bs=1 seek=200 conv=notrunc 2>/dev/null'],
    ['replaced', 'cp "$FILE" "$FILE.new"; mv "$FILE.new" "$FILE"'],
  ])('a file that is %s half way is unmeasured, and ends in 3', async (_, change) => {
    await writeFile(path('changing.mkv'), await readFile(path('whole.mkv')));
    const script = `FILE='${path('changing.mkv')}'; five "$@"; ${change}; exit 0`;
    const { verdicts } = await check('changing.mkv', script);
    expect(verdicts.map(({ findings }) => findings.map(({ outcome }) => outcome))).toEqual([['unmeasured']]);
    expect(verdicts[0]?.findings[0]?.measured).toContain('changed');
    expect(verdictExitCode(verdicts, { strict: false })).toBe(3);
  });
});

describe('in a batch', () => {
  it('such a fault leaves no measurement and no result, and the next try goes on', async () => {
    const data = await clipJob(folder.path, 'whole.mkv');
    const killed = await standIn(folder.path, 'five "$@"; kill -KILL $$');
    await expect(handleClip(data, siteWith(killed), context)).rejects.toMatchObject({
      code: 'ffmpeg-failed',
    });
    for (const file of [originalMeasurementFile('whole.mkv'), resultFile(data.job.id)]) {
      expect(await exists(below(folder.path, file)), file).toBe(false);
    }
    const { clip } = await handleClip(data, siteWith(undefined), context);
    expect(clip).toMatchObject({ state: 'done', error: null });
  });

  it.each([
    ['the original', 'changing.mkv'],
    ['an output', '.part.mkv'],
  ])('%s that changes while it is read gives no output', async (_, name) => {
    await writeFile(path('changing.mkv'), await readFile(path('whole.mkv')));
    const data = await clipJob(folder.path, 'changing.mkv');
    const output = {
      ...planned({
        container: 'mkv',
        video: { ...planned({}).recipe.video, encoder: 'ffv1', profile: null },
      }),
      path: 'a-target/changing.mkv',
    };
    const job = { ...data.job, outputs: [output] };
    // The file that is read is the last argument that is an input.
    const script = `for arg do [ "$before" = -i ] && in="\${arg#file:}"; before="$arg"; done
      case "$in" in *${name}) ffmpeg "$@"; code=$?; printf x >> "$in"; exit $code;; esac`;
    const site = siteWith(await standIn(folder.path, script));
    await expect(handleClip({ ...data, job }, site, context)).rejects.toMatchObject({ code: 'file-changed' });
    expect(await exists(below(folder.path, output.path))).toBe(false);
  });
});
