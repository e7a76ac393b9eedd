import { execFile } from 'node:child_process';
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { escapeDrawtext, escapeFilterValue } from '../../../workers/ffmpeg/escape.js';
import { HOSTILE_NAMES } from './hostile-names.js';

const run = promisify(execFile);
const LAVFI = ['-v', 'error', '-f', 'lavfi', '-i', 'color=gray:s=320x96:d=0.04:r=25', '-frames:v', '1'];

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-escape-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

/** What ffmpeg itself says it understood: a value set by one filter, written out by the next. */
async function valueThatArrives(value: string): Promise<string> {
  const file = join(folder, 'printed.txt');
  const graph = [
    `metadata=mode=add:key=k:value=${escapeFilterValue(value)}`,
    `metadata=mode=print:key=k:file=${escapeFilterValue(`file:${file}`)}`,
  ].join(',');
  await run('ffmpeg', [...LAVFI, '-vf', graph, '-f', 'null', '-']);
  const text = await readFile(file, 'utf8');
  return text.slice(text.indexOf('\nk=') + 3, -1);
}

async function pictureHash(drawtext: string): Promise<string> {
  const graph = `drawtext=fontsize=20:x=4:y=4:${drawtext}`;
  const { stdout } = await run('ffmpeg', [...LAVFI, '-vf', graph, '-f', 'md5', '-']);
  return stdout.trim();
}

describe('escapeFilterValue', () => {
  it.each(HOSTILE_NAMES)('a filter receives %j unchanged', async (name) => {
    expect(await valueThatArrives(name)).toBe(name);
  });

  it('names a file that a filter opens', async () => {
    const path = join(folder, "it's [a] 100%, b;c: \\ .txt");
    const graph = `metadata=mode=add:key=k:value=v,metadata=mode=print:key=k:file=${escapeFilterValue(`file:${path}`)}`;
    await run('ffmpeg', [...LAVFI, '-vf', graph, '-f', 'null', '-']);
    expect(await readFile(path, 'utf8')).toContain('k=v');
  });

  it('refuses NUL, which no process argument can carry', () => {
    expect(() => escapeFilterValue('a\0b')).toThrow(RangeError);
  });
});

describe('escapeDrawtext', () => {
  // drawtext reads a text file literally with expansion=none: the same text through `text=` must paint the
  // same pixels.
  it.each(HOSTILE_NAMES)('%j is drawn as it stands', async (name) => {
    const file = join(folder, 'text.txt');
    await writeFile(file, name);
    const literal = await pictureHash(`expansion=none:textfile=${escapeFilterValue(file)}`);
    expect(await pictureHash(`expansion=normal:text=${escapeDrawtext(name)}`)).toBe(literal);
  });

  it('tells texts apart, so the comparison above can fail', async () => {
    expect(await pictureHash(`text=${escapeDrawtext('100%')}`)).not.toBe(
      await pictureHash(`text=${escapeDrawtext('1009')}`),
    );
  });
});
