import { vi } from 'vitest';
import { buildProgram } from '../../cli/program.js';

/** What a command line prints, run in this process; errors are thrown as the program throws them. */
export async function runCommand(...words: string[]): Promise<{ out: string; err: string; code: number }> {
  const text = { out: '', err: '' };
  const before = process.exitCode;
  process.exitCode = 0;
  const spies = (['stdout', 'stderr'] as const).map((stream) =>
    vi.spyOn(process[stream], 'write').mockImplementation((chunk) => {
      text[stream === 'stdout' ? 'out' : 'err'] += String(chunk);
      return true;
    }),
  );
  try {
    await (await buildProgram(words)).parseAsync(['node', 'goodgate', ...words]);
    return { ...text, code: Number(process.exitCode) };
  } finally {
    for (const spy of spies) spy.mockRestore();
    process.exitCode = before;
  }
}
