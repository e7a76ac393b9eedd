import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, describe, expect, it } from 'vitest';
import { requirementSet } from '../../../../jobs/requirements/requirement.js';
import { judge } from '../../../../workers/judge/judge.js';
import { AspectLog } from '../../../../workers/measure/reading/aspect-log.js';
import { temporaryFolder } from '../../../media/known-clip.js';
import { measureFile } from '../../../media/measure-file.js';

const folder = await temporaryFolder();
afterAll(folder.remove);
const path = (name: string): string => join(folder.path, name);

/** Ten frames of 64 x 64 of one sample aspect, in a container that does not speak of it. */
async function part(name: string, aspect: string): Promise<Buffer> {
  const picture = ['-f', 'lavfi', '-i', 'testsrc2=s=64x64:r=25:d=0.4', '-vf', `setsar=${aspect}`];
  const coded = ['-c:v', 'libx264', '-preset', 'ultrafast', '-bf', '0', '-pix_fmt', 'yuv420p'];
  await execa('ffmpeg', ['-nostdin', '-y', '-loglevel', 'error', ...picture, ...coded, path(name)]);
  return readFile(path(name));
}

describe('the aspect of the picture over time', () => {
  it('changes at a frame that is named, though the first frames are as asked', async () => {
    const parts = [await part('a.ts', '1'), await part('b.ts', '4/3')];
    await writeFile(path('both.ts'), Buffer.concat(parts));
    const m = await measureFile(path('both.ts'));
    expect(m.events).toContainEqual(
      expect.objectContaining({
        kind: 'aspect-change',
        from: 10,
        to: 20,
        detail: 'sample aspect 1/1 before, 4/3 from here',
      }),
    );
    const require = requirementSet.parse({ 'sample-aspect': { is: '1/1' }, 'display-aspect': { is: '1/1' } });
    const { findings } = judge(m, { name: 't', require }, {});
    for (const name of ['sample-aspect', 'display-aspect']) {
      const finding = findings.find(({ requirement }) => requirement === name);
      expect(finding).toMatchObject({ outcome: 'fail', at: [{ from: 10, to: 20 }] });
      expect(finding?.measured).toMatch(/changes within the file: sample aspect 1\/1 before/);
    }
  });

  it('is one where it does not change', async () => {
    await writeFile(path('same.ts'), await part('c.ts', '4/3'));
    const m = await measureFile(path('same.ts'));
    expect(m.events.filter(({ kind }) => kind === 'aspect-change')).toEqual([]);
  });

  it('is the same in one log and in two that follow one on another', () => {
    const frames = ['1/1', '1/1', '0/1', '4/3', '4/3', '1/1'];
    const whole = new AspectLog();
    frames.forEach((aspect, frame) => {
      whole.read(frame, aspect);
    });
    expect(whole.changes.map(({ frame }) => frame)).toEqual([3, 5]);
    for (let cut = 0; cut <= frames.length; cut++) {
      const [head, tail] = [new AspectLog(), new AspectLog()];
      frames.slice(0, cut).forEach((aspect, frame) => {
        head.read(frame, aspect);
      });
      frames.slice(cut).forEach((aspect, frame) => {
        tail.read(frame, aspect);
      });
      head.append(tail, cut);
      expect(head.changes).toEqual(whole.changes);
    }
  });
});
