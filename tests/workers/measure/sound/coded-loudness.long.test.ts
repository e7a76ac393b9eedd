import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, describe, expect, it } from 'vitest';
import { requirementSet } from '../../../../jobs/requirements/requirement.js';
import { judge } from '../../../../workers/judge/judge.js';
import { Ac3Frames } from '../../../../workers/measure/sound/ac3-frames.js';
import { temporaryFolder } from '../../../media/known-clip.js';
import { measureFile } from '../../../media/measure-file.js';

const folder = await temporaryFolder();
afterAll(folder.remove);
const path = (name: string): string => join(folder.path, name);

/** EBU Tech 3341, case 1: 1 kHz at -23 dBFS in both channels is -23 LUFS. */
const SINE = `${10 ** (-23 / 20)}*sin(2*PI*1000*t)`;
const SECONDS = 4;
/** Frames of AC-3 have 1536 samples (ATSC A/52). */
const FRAMES = (SECONDS * 48_000) / 1536;

async function make(name: string, ...args: readonly string[]): Promise<string> {
  const sine = ['-f', 'lavfi', '-i', `aevalsrc=${SINE}|${SINE}:s=48000:d=${SECONDS}`];
  const all = ['-hide_banner', '-nostdin', '-y', '-loglevel', 'error', ...sine, ...args, path(name)];
  await execa('ffmpeg', all);
  return path(name);
}
async function measured(file: string) {
  const m = await measureFile(file);
  const require = requirementSet.parse({ 'coded-loudness': {} });
  const { findings } = judge(m, { name: 't', require }, {});
  return {
    stated: m.audio[0]?.codedLoudness,
    finding: findings.find(({ requirement }) => requirement === 'coded-loudness'),
  };
}
function read(bytes: Buffer, chunk = bytes.length) {
  const frames = new Ac3Frames();
  for (let at = 0; at < bytes.length; at += chunk) frames.push(bytes.subarray(at, at + chunk));
  return frames.finish();
}
function framesAt(level: number) {
  return { kind: 'dialnorm', levels: [{ level, frames: expect.any(Number) }], reservedFrames: 0 };
}

describe('the dialogue level of coded sound', () => {
  it.each([
    ['ac3', 'mov'],
    ['eac3', 'mp4'],
    ['ac3', 'mkv'],
    ['ac3', 'ts'],
  ])('%s in %s that states its loudness agrees', async (codec, container) => {
    const file = await make(`true-${codec}.${container}`, '-c:a', codec, '-dialnorm', '-23');
    const { stated, finding } = await measured(file);
    expect(stated).toMatchObject(framesAt(-23));
    const frames = stated?.levels[0]?.frames ?? 0;
    expect(frames).toBeGreaterThanOrEqual(FRAMES);
    expect(frames).toBeLessThanOrEqual(FRAMES + 1);
    expect(finding).toMatchObject({ outcome: 'pass' });
  });

  it('a file that states another level does not pass', async () => {
    const { finding } = await measured(await make('untrue.mov', '-c:a', 'ac3', '-dialnorm', '-27'));
    expect(finding).toMatchObject({ outcome: 'fail' });
    expect(finding?.measured).toMatch(/-27 dB declared \(dialnorm\), (3\.9|4\.0)\d LU apart/);
  });

  it('a level that changes within the file is found, wherever it changes', async () => {
    const parts = [
      await make('first.ac3', '-c:a', 'ac3', '-dialnorm', '-23'),
      await make('last.ac3', '-c:a', 'ac3', '-dialnorm', '-24'),
    ];
    await writeFile(path('both.ac3'), Buffer.concat(await Promise.all(parts.map((part) => readFile(part)))));
    const { stated, finding } = await measured(path('both.ac3'));
    expect(stated?.levels.map(({ level }) => level)).toEqual([-23, -24]);
    expect(finding).toMatchObject({ outcome: 'fail' });
    expect(finding?.measured).toMatch(/the dialogue level changes: -23 dB in .* frames, -24 dB in .* frames/);
  });

  it('sound without such metadata is unmeasured, never a pass', async () => {
    const { stated, finding } = await measured(await make('none.mov', '-c:a', 'pcm_s24le'));
    expect(stated).toBeNull();
    expect(finding).toMatchObject({ outcome: 'unmeasured' });
    expect(finding?.measured).toMatch(/no metadata/);
  });
});

describe('frames of AC-3', () => {
  // Where the level stands depends on the channels, where a frame ends on rate and bit rate.
  it.each([
    ['ac3', 'mono', 48_000, '96k'],
    ['ac3', 'stereo', 44_100, '192k'],
    ['ac3', '3.0', 48_000, '320k'],
    ['ac3', '5.1(side)', 32_000, '448k'],
    ['ac3', '5.1(side)', 44_100, '640k'],
    ['ac3', 'quad(side)', 48_000, '384k'],
    ['eac3', 'mono', 48_000, '64k'],
    ['eac3', '5.1(side)', 44_100, '384k'],
  ])('%s, %s at %i Hz, %s', async (codec, layout, rate, bits) => {
    const form = ['-af', `aresample=${rate},aformat=channel_layouts=${layout}`, '-b:a', bits];
    const bytes = await readFile(
      await make(`${codec}-${rate}-${bits}.${codec}`, '-c:a', codec, ...form, '-dialnorm', '-17'),
    );
    expect(read(bytes)).toMatchObject(framesAt(-17));
    expect(read(bytes, 7)).toEqual(read(bytes));
  });

  it('that are cut, or follow damaged bytes, are not relied on', async () => {
    const bytes = await readFile(await make('cut.ac3', '-c:a', 'ac3'));
    expect(read(bytes.subarray(0, -1))).toMatch(/last frame/);
    expect(read(Buffer.concat([bytes, Buffer.alloc(16)]))).toMatch(/does not begin/);
    expect(read(Buffer.alloc(0))).toMatch(/no frame/);
  });

  it('with the reserved code state no level', async () => {
    const bytes = Buffer.from(await readFile(await make('zero.ac3', '-c:a', 'ac3', '-dialnorm', '-16')));
    // Stereo: 16 is the highest of the five bits that begin six bits after byte 6 (ATSC A/52, 5.3.2).
    bytes.writeUInt16BE(bytes.readUInt16BE(6) & ~(16 << 5), 6);
    expect(read(bytes)).toMatchObject({ reservedFrames: 1 });
  });
});
