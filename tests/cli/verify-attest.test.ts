import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { cardCheckText } from '../../cli/card/card-check-text.js';
import { hashProgressText } from '../../cli/progress/hash-progress.js';
import { cardCheck } from '../../jobs/hash-list/card-check.js';
import { writeFiles } from '../media/example-card.js';
import { runCommand } from './run-command.js';

let folder: string;
let card: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-verify-'));
  card = join(folder, 'A001');
  vi.stubEnv('GOODGATE_STATE', join(folder, 'state'));
  await writeFiles(card, { 'Clips/1.mov': 'one', 'Clips/2.mov': 'two' });
});
afterEach(async () => {
  vi.unstubAllEnvs();
  await rm(folder, { recursive: true, force: true });
});

describe('verify and attest', () => {
  it('a card that was attested verifies; a changed file ends with 1 and is named', async () => {
    const attested = await runCommand('attest', card);
    expect(attested.code).toBe(0);
    expect(attested.out).toMatch(/^2 files, 6 B, in xxh64; wrote\n {2}ascmhl\/0001_A001_.*Z\.mhl\n$/);
    expect((await runCommand('verify', card)).code).toBe(0);
    await writeFile(join(card, 'Clips/2.mov'), 'tw');
    const { out, code } = await runCommand('verify', card);
    expect(code).toBe(1);
    expect(out).toMatch(/^changed {4}Clips\/2\.mov: its xxh64 is .*it has 2 B \(2\) of 3 B \(3\)$/m);
    expect(out).toContain('1 verified, 1 changed');
    const again = await runCommand('attest', card);
    expect(again).toMatchObject({ code: 1, out: expect.stringContaining('changed    Clips/2.mov') });
  });

  it('an unlisted file is allowed, unless --strict', async () => {
    await runCommand('attest', card);
    await writeFile(join(card, 'notes.txt'), 'x');
    expect(await runCommand('verify', card)).toMatchObject({
      code: 0,
      out: expect.stringContaining('warn: '),
    });
    expect((await runCommand('verify', card, '--strict')).code).toBe(1);
  });

  it('--json is the document of its schema and nothing else', async () => {
    await runCommand('attest', card);
    const { out } = await runCommand('verify', card, '--json');
    expect(cardCheck.parse(JSON.parse(out))).toMatchObject({ verdict: 'pass', totals: { verified: 2 } });
  });

  it('no folder, no list, and the list of the folder above are wrong requests with a way on', async () => {
    await expect(runCommand('verify', join(folder, 'none'))).rejects.toMatchObject({ code: 'missing-file' });
    await expect(runCommand('verify', card)).rejects.toMatchObject({
      next: expect.stringContaining('goodgate attest'),
    });
    await runCommand('attest', card);
    await expect(runCommand('verify', join(card, 'Clips'))).rejects.toMatchObject({
      next: expect.stringContaining(`goodgate verify ${card}`),
    });
  });
});

describe('what is told', () => {
  it('progress has files, share, rate, what is left and the end', () => {
    const at = { files: { done: 3, total: 1200 }, bytes: { done: 6e9, total: 16e9, known: 2e9 } };
    // 4 GB in 10 s: 400 MB/s, 10 GB left are 25 s.
    const now = new Date(2026, 11, 1, 3, 59, 40);
    expect(hashProgressText('verifying', at, 10_000, now)).toBe(
      'verifying 3 of 1,200 files, 37 %, 400 MB/s, 25 s left, until 04:00',
    );
    expect(hashProgressText('verifying', at, 1_000, now)).toBe('verifying 3 of 1,200 files, 37 %');
  });

  it('the worst comes first, and no name forges a line', () => {
    const entry = { bytes: 1, hashes: {}, why: null };
    const text = cardCheckText({
      ...{
        schema: 'goodgate/card-check@1',
        card: '/a',
        verdict: 'fail',
        histories: [],
        directories: [],
        lists: [],
      },
      files: [
        { ...entry, path: 'u', outcome: 'unlisted' },
        { ...entry, path: 'c\npass: /a', outcome: 'changed' },
      ],
      totals: {
        files: 2,
        bytes: 2,
        verified: 0,
        changed: 1,
        missing: 0,
        unlisted: 1,
        unreadable: 0,
        unproven: 0,
      },
    });
    expect(text.split('\n').slice(0, 2)).toEqual(['changed    c\\npass: /a', 'unlisted   u']);
  });
});
