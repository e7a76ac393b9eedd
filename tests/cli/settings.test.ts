import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readEnvironment } from '../../cli/environment.js';
import { buildProgram } from '../../cli/program.js';
import { applySettings, findSettings, settings } from '../../cli/settings.js';
import { runCommand } from './run-command.js';

let folder: string;
let file: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-settings-'));
  file = join(folder, 'site.yaml');
  await mkdir(join(folder, 'targets'));
  await writeFile(
    join(folder, 'targets', 'house.yaml'),
    'schema: goodgate/target@1\nname: house\ntitle: House rules\nrequire: { scan: { is: [progressive] } }\n',
  );
  await writeFile(
    file,
    'redis: redis://site:6379\nroot: [media, /work]\nbetween: 20:00-07:00\ntarget-folder: targets\n',
  );
});
afterAll(() => rm(folder, { recursive: true }));

const environment = (env: NodeJS.ProcessEnv = {}) => readEnvironment({ HOME: folder, ...env });

/** The options `work` ends up with. */
async function workOptions(words: string[], env: NodeJS.ProcessEnv = {}): Promise<Record<string, unknown>> {
  const program = await buildProgram(['work']);
  const command = program.commands.find((each) => each.name() === 'work');
  if (command === undefined) throw new Error('no work');
  command.action(() => undefined);
  await program.parseAsync(['node', 'goodgate', 'work', ...words]);
  const found = await findSettings(file, environment(env));
  if (found !== null) applySettings(command, found, environment(env));
  return command.opts();
}

describe('settings of a site', () => {
  it('stand in for options that are not given; folders start from the file', async () => {
    const options = await workOptions([]);
    expect(options).toMatchObject({
      ...{ redis: 'redis://site:6379', root: [join(folder, 'media'), '/work'] },
      between: { from: 20 * 60, to: 7 * 60 },
    });
  });

  it('give way to the command line, and to the environment', async () => {
    const given = await workOptions(['--redis', 'redis://mine', '--root', '/mine']);
    expect(given).toMatchObject({ redis: 'redis://mine', root: ['/mine'] });
    // The server of the environment is taken where no option is set.
    expect((await workOptions([], { REDIS_URL: 'redis://env' })).redis).toBeUndefined();
  });

  it('are found where one is named, or in the configuration of the user, and nowhere else', async () => {
    expect(environment({ XDG_CONFIG_HOME: '/c' }).settings.file).toBe('/c/goodgate/settings.yaml');
    expect(environment({ GOODGATE_SETTINGS: file }).settings).toEqual({ file, isNamed: true });
    // The user's own may be missing, one that was named may not.
    expect(await findSettings(undefined, environment({ XDG_CONFIG_HOME: folder }))).toBeNull();
    await expect(findSettings(join(folder, 'none.yaml'), environment())).rejects.toMatchObject({
      code: 'missing-file',
    });
    await expect(
      findSettings(undefined, environment({ GOODGATE_SETTINGS: join(folder, 'none.yaml') })),
    ).rejects.toMatchObject({ code: 'missing-file' });
  });

  it('refuse a key that is none, with the nearest, and a value that its option does not take', async () => {
    const bad = join(folder, 'bad.yaml');
    await writeFile(bad, 'rediss: redis://site\n');
    await expect(findSettings(bad, environment())).rejects.toMatchObject({
      ...{ code: 'bad-document', what: expect.stringContaining('the nearest is redis') },
    });
    await writeFile(bad, 'between: all night\n');
    const program = await buildProgram(['work']);
    const command = program.commands[0];
    const found = await findSettings(bad, environment());
    if (command === undefined || found === null) throw new Error('nothing to apply');
    expect(() => applySettings(command, found, environment())).toThrow(/between: given all night/);
  });

  it('have the names of options, each of which some command takes', async () => {
    const options = (await buildProgram([])).commands.flatMap((command) =>
      command.options.map(({ long }) => long),
    );
    for (const key of Object.keys(settings.shape)) expect(options).toContain(`--${key}`);
  });
});

it('targets of the folder are found by name, listed, and not in place of a built-in', async () => {
  const { out } = await runCommand('targets', '--settings', file);
  expect(out).toContain('house\n    House rules; judges');
  expect((await runCommand('targets', 'house', '--settings', file)).out).toContain('title: House rules');
  await expect(runCommand('targets', 'house')).rejects.toMatchObject({ code: 'unknown-target' });
  await writeFile(
    join(folder, 'targets', 'proxy-h264.yaml'),
    'schema: goodgate/target@1\nname: proxy-h264\ntitle: Mine\n',
  );
  expect((await runCommand('targets', 'proxy-h264', '--settings', file)).out).not.toContain('Mine');
});
