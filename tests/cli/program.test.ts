import { describe, expect, it } from 'vitest';
import { buildProgram } from '../../cli/program.js';

const namesFor = async (...words: string[]) =>
  (await buildProgram(words)).commands.map((command) => command.name());

describe('the commands that are loaded', () => {
  it('are the one that is named, after an option too', async () => {
    expect(await namesFor('levels', '61%', '--from', 'bt709')).toEqual(['levels']);
    expect(await namesFor('--debug', 'check', 'measure')).toEqual(['check']);
  });

  it('are all where help is asked for, and for what tells of all', async () => {
    const all = await namesFor();
    expect(all).toContain('scan');
    expect(all).toContain('doctor');
    expect(await namesFor('help', 'check')).toEqual(all);
    expect(await namesFor('man')).toEqual(all);
    expect(await namesFor('completion', 'bash')).toEqual(all);
  });
});
