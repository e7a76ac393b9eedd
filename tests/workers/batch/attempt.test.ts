import { execa } from 'execa';
import { describe, expect, it } from 'vitest';
import { isAbandoned, newAttempt } from '../../../workers/batch/attempt.js';
import { temporaryName } from '../../../workers/batch/folder.js';

const KEY = '0123456789abcdef0123';
const DAY = 24 * 3_600_000;
const NOW = 1e12;
const nameOf = (attempt: string) => temporaryName('proxy/A001.mov', KEY, attempt).split('/').at(-1) ?? '';
const withPid = (attempt: string, pid: number | string) => attempt.replace(/-\d+-/, `-${pid}-`);

describe('isAbandoned', () => {
  it('leaves alone what a living process is making', () => {
    expect(isAbandoned(nameOf(newAttempt()), NOW, NOW)).toBe(false);
  });

  it('knows a dead process of this machine', async () => {
    const dead = execa('true');
    const pid = dead.pid ?? 0;
    await dead;
    expect(isAbandoned(nameOf(withPid(newAttempt(), pid)), NOW, NOW)).toBe(true);
  });

  it('leaves alone what another machine may still be making, for a day', () => {
    const other = nameOf(withPid(`ffffffff${newAttempt().slice(8)}`, 1));
    expect(isAbandoned(other, NOW - DAY, NOW)).toBe(false);
    expect(isAbandoned(other, NOW - DAY - 1, NOW)).toBe(true);
  });

  it('never touches a file of anybody else, however old', () => {
    for (const name of ['A001.mov', '.hidden.mov', 'x.part.mov', '.DS_Store', '.lock']) {
      expect(isAbandoned(name, 0, NOW), name).toBe(false);
    }
  });
});
