import { chmod, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, expect, it } from 'vitest';
import { measureFile } from '../../../workers/measure/measure-file.js';
import { nothingAsked } from '../../../workers/probe/asked.js';
import { temporaryFolder } from '../../media/known-clip.js';

const folder = await temporaryFolder();
afterAll(folder.remove);
const path = (name: string): string => join(folder.path, name);

it.each(['mkv', 'mxf', 'mov', 'ts'])(
  'ffprobe is asked nothing twice for a measurement of %s',
  async (container) => {
    const clip = path(`clip.${container}`);
    const picture = [
      '-f',
      'lavfi',
      '-i',
      'testsrc2=s=64x64:r=25:d=1',
      '-c:v',
      'mpeg2video',
      '-pix_fmt',
      'yuv420p',
    ];
    await execa('ffmpeg', ['-v', 'error', '-y', ...picture, clip]);
    // A line for each start, with all it was asked.
    const [program, log] = [path('ffprobe'), path(`${container}.log`)];
    await writeFile(program, `#!/bin/sh\necho "$*" >> '${log}'\nexec ffprobe "$@"\n`);
    await chmod(program, 0o755);
    const { video } = await measureFile(clip, { tools: { ffprobe: program } });
    expect(video?.frames).toBe(25);
    const asked = (await readFile(log, 'utf8')).trimEnd().split('\n');
    expect(asked.length).toBeGreaterThan(2);
    expect(new Set(asked).size).toBe(asked.length);
    const packets = asked.filter((question) =>
      question.includes('-show_packets -show_entries packet=pts,dts'),
    );
    expect(packets.length).toBeLessThanOrEqual(1);
  },
);

it('a question that was not answered is asked again', async () => {
  const { texts } = nothingAsked();
  const answers = [Promise.reject(new Error('killed')), Promise.resolve('an answer')];
  const ask = () => answers.shift() ?? Promise.reject(new Error('asked too often'));
  await expect(texts.once('what', ask)).rejects.toThrow('killed');
  await expect(texts.once('what', ask)).resolves.toBe('an answer');
  await expect(texts.once('what', ask)).resolves.toBe('an answer');
});
