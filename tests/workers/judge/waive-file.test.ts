import { mkdir, mkdtemp, readdir, readFile, rm, symlink, utimes, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { requirementSet } from '../../../jobs/requirements/requirement.js';
import { loadWaivers } from '../../../jobs/verdict/load-waivers.js';
import { type Waiver, waiversFile } from '../../../jobs/verdict/waivers.js';
import { fileState } from '../../../workers/file/file-state.js';
import { judge } from '../../../workers/judge/judge.js';
import { waiveInBatch, waiveVerdicts } from '../../../workers/judge/waive-file.js';
import { writeWaiver } from '../../../workers/judge/write-waiver.js';
import { measured } from './measured.js';

/** FIPS 180-4, example of SHA-256 (the value from memory): the message "abc". */
/** Another one. */
const SHA_OF_A_MILLION_A = 'cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0';
const SHA_OF_ABC = 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad';

let base: string;
let folder: string;
let master: string;
let n = 0;
beforeAll(async () => {
  base = await mkdtemp(join(tmpdir(), 'goodgate-waivers-'));
});
afterAll(() => rm(base, { recursive: true }));
beforeEach(async () => {
  n += 1;
  folder = join(base, `${n}`);
  await mkdir(folder);
  master = join(folder, 'master.mov');
  await writeFile(master, 'abc');
});

const given = (more: Partial<Waiver> = {}): Waiver => ({
  finding: 'raster',
  by: 'R. Ibarra',
  why: 'A small screen.',
  until: '2026-12-31',
  sha256: SHA_OF_ABC,
  ...more,
});
const NOW = { now: new Date(2026, 10, 25, 12) };
/** A master of 1920 x 1080 held against a target of 1280 x 720. */
function verdict() {
  const require = requirementSet.parse({ raster: { width: 1280, height: 720 } });
  return judge(measured(), { name: 't', require }, {});
}
async function waived(waivers: readonly Waiver[] | null, path = master) {
  const judged = { path, before: await fileState(path), measurement: measured(), waivers };
  const [after] = await waiveVerdicts([verdict()], judged, NOW);
  return after;
}

describe('waiveVerdicts', () => {
  it('waives what was accepted of this file', async () => {
    const after = await waived([given()]);
    expect(after?.verdict).toBe('warn');
    expect(after?.findings.find((f) => f.requirement === 'raster')?.waiver?.by).toBe('R. Ibarra');
  });
  it('waives nothing of another file with the same name', async () => {
    await writeFile(master, 'abd');
    const after = await waived([given()]);
    expect(after?.verdict).toBe('fail');
    expect(after?.findings.at(-1)).toMatchObject({
      requirement: 'waiver',
      measured: expect.stringContaining('another file of this name'),
    });
  });
  it('waives nothing of a file that was written to while it was measured, though its bytes are the same again', async () => {
    const before = await fileState(master);
    await writeFile(master, 'abc');
    await utimes(master, 1, 1);
    const judged = { path: master, before, measurement: measured(), waivers: [given()] };
    const [after] = await waiveVerdicts([verdict()], judged, NOW);
    expect(after?.findings.at(-1)).toMatchObject({ measured: expect.stringContaining('changed while') });
  });
  it('expires after the last day, not on it', async () => {
    const judged = {
      path: master,
      before: await fileState(master),
      measurement: measured(),
      waivers: [given()],
    };
    const on = async (now: Date) => (await waiveVerdicts([verdict()], judged, { now }))[0]?.verdict;
    expect(await on(new Date(2026, 11, 31, 23, 59, 59))).toBe('warn');
    expect(await on(new Date(2027, 0, 1, 0, 0, 0))).toBe('fail');
  });
  it('reads nothing where there are no waivers', async () => {
    await rm(master);
    const judged = { path: master, before: { bytes: 3, modified: '' }, measurement: measured() };
    for (const waivers of [null, []]) {
      expect((await waiveVerdicts([verdict()], { ...judged, waivers }, NOW))[0]?.verdict).toBe('fail');
    }
  });
});

describe('waiveInBatch', () => {
  const inBatch = async (signal?: AbortSignal) => {
    const file = { path: master, before: await fileState(master), measurement: measured() };
    const [after] = await waiveInBatch([verdict()], file, { ...NOW, signal });
    return after;
  };

  it('waives as well', async () => {
    await writeWaiver(master, given());
    expect((await inBatch())?.verdict).toBe('warn');
  });
  it('goes on without waivers where there are none', async () => {
    expect(await inBatch()).toEqual(verdict());
  });
  it('goes on where they cannot be read, and says so', async () => {
    await writeFile(waiversFile(master), 'waivers: [');
    const after = await inBatch();
    expect(after?.verdict).toBe('fail');
    expect(after?.findings.at(-1)).toMatchObject({
      requirement: 'waiver',
      outcome: 'warn',
      measured: expect.stringContaining('cannot be read'),
    });
  });
  it('stops when it is told to', async () => {
    await writeWaiver(master, given());
    await expect(inBatch(AbortSignal.abort())).rejects.toMatchObject({ code: 'interrupted' });
  });
});

describe('loadWaivers', () => {
  const put = (text: string) => writeFile(waiversFile(master), text);
  const HEAD = 'schema: goodgate/waivers@1\nwaivers:\n';
  const ENTRY = `  - finding: raster\n    by: J\n    why: w\n    until: 2026-12-31\n    sha256: ${SHA_OF_ABC}\n`;

  it('is null where there are none', async () => {
    expect(await loadWaivers(master)).toBeNull();
  });
  it('reads a file as people write it', async () => {
    await put(`${HEAD}${ENTRY}`);
    expect(await loadWaivers(master)).toEqual([given({ by: 'J', why: 'w' })]);
  });
  it.each([
    ['a day that does not exist', ['2026-12-31', '2026-02-30'], '6:12', 'a day of the calendar'],
    ['no leap year', ['2026-12-31', '2027-02-29'], '6:12', 'a day of the calendar'],
    ['a day the other way round', ['2026-12-31', '31.12.2026'], '6:12', 'a day of the calendar'],
    ['a time', ['2026-12-31', '2026-12-31T12:00:00'], '6:12', 'a day of the calendar'],
    ['for ever', ['2026-12-31', 'forever'], '6:12', 'a day of the calendar'],
    ['a finding that does not exist', ['raster', 'rastre'], '3:14', 'the nearest is raster'],
    ['nobody', ['by: J', 'by: ""'], '4:9', 'at least 1'],
    ['blanks for a reason', ['why: w', 'why: "  "'], '5:10', 'at least 1'],
    ['a key that does not exist', ['by: J', 'who: J'], '4:5', 'unknown key "who"'],
    ['half a hash', [SHA_OF_ABC, 'ba7816bf'], '7:13', '64 hex digits'],
  ])('refuses %s, with its place', async (_, [from = '', to = ''], place, message) => {
    await put(`${HEAD}${ENTRY.replace(from, to)}`);
    const error = await loadWaivers(master).catch((cause: unknown) => cause);
    expect(error).toMatchObject({ code: 'bad-document' });
    expect(String(error)).toContain(message);
    expect(String(error)).toContain(`waivers.yaml:${place}`);
  });
  it('refuses a link, wherever it leads, and a folder', async () => {
    const secret = join(folder, 'secret');
    await writeFile(secret, 'password: hunter2\n');
    await symlink(secret, waiversFile(master));
    const error = await loadWaivers(master).catch((cause: unknown) => cause);
    expect(error).toMatchObject({ code: 'bad-document', what: expect.stringContaining('not a link') });
    expect(String(error)).not.toContain('hunter2');
    await rm(waiversFile(master));
    await symlink(join(folder, 'nowhere'), waiversFile(master));
    await expect(loadWaivers(master)).rejects.toMatchObject({ code: 'bad-document' });
    await rm(waiversFile(master));
    await mkdir(waiversFile(master));
    await expect(loadWaivers(master)).rejects.toMatchObject({ code: 'bad-document' });
  });
  it('looks beside the path that was given, where a master is a link', async () => {
    const link = join(folder, 'link.mov');
    await symlink(master, link);
    await put(`${HEAD}${ENTRY}`);
    expect(await loadWaivers(link)).toBeNull();
    await writeWaiver(link, given());
    expect((await waived(await loadWaivers(link), link))?.verdict).toBe('warn');
  });
});

describe('writeWaiver', () => {
  it('makes the file, adds to it, renews what is the same, and leaves nothing else behind', async () => {
    await writeWaiver(master, given());
    await writeWaiver(
      master,
      given({ finding: 'loudness', target: 't', range: { from: '10:00:00:00', to: '10:00:01:00' } }),
    );
    await writeWaiver(master, given({ until: '2027-03-01', by: 'Somebody else' }));
    await writeWaiver(master, given({ sha256: SHA_OF_A_MILLION_A }));
    await writeWaiver(master, given({ unmeasured: true }));
    await writeWaiver(master, given({ unmeasured: true, why: 'Still so.' }));
    expect(await loadWaivers(master)).toEqual([
      given({ until: '2027-03-01', by: 'Somebody else' }),
      given({ finding: 'loudness', target: 't', range: { from: '10:00:00:00', to: '10:00:01:00' } }),
      given({ sha256: SHA_OF_A_MILLION_A }),
      given({ unmeasured: true, why: 'Still so.' }),
    ]);
    expect((await readdir(folder)).sort()).toEqual(['master.mov', 'master.mov.waivers.yaml']);
    expect(await readFile(waiversFile(master), 'utf8')).toContain(
      '{ from: "10:00:00:00", to: "10:00:01:00" }',
    );
  });
  it('keeps what people wrote beside it', async () => {
    await writeFile(waiversFile(master), '# ours\nschema: goodgate/waivers@1\nwaivers: [] # none yet\n');
    await writeWaiver(master, given());
    const text = await readFile(waiversFile(master), 'utf8');
    expect(text).toContain('# ours');
    expect(text).toContain('none yet');
    expect(await loadWaivers(master)).toHaveLength(1);
  });
  it('loses nothing when several people waive at once', async () => {
    const names = ['raster', 'loudness', 'scan', 'colour', 'chroma'] as const;
    await Promise.all(names.map((finding) => writeWaiver(master, given({ finding }))));
    expect((await loadWaivers(master))?.map(({ finding }) => finding).sort()).toEqual([...names].sort());
  });
  it('leaves a file alone that is no waiver file', async () => {
    await writeFile(waiversFile(master), 'schema: goodgate/target@1\n');
    await expect(writeWaiver(master, given())).rejects.toMatchObject({ code: 'bad-document' });
    expect(await readFile(waiversFile(master), 'utf8')).toBe('schema: goodgate/target@1\n');
  });
  it.each([
    'two\nlines: and a key',
    'esc \u001b[31m bell \u0007 nul \u0000',
    '</title><script>alert(1)</script> ]]>',
    '# no comment, "quotes" and \'quotes\', - dashes, {braces}, *alias, &anchor, !tag',
    '=1+1 \u202e right to left, \ud83c\udfac, 2026-12-31, null, ~, yes',
  ])('brings back %j as it was', async (text) => {
    await writeWaiver(master, given({ by: text, why: text }));
    expect(await loadWaivers(master)).toEqual([given({ by: text, why: text })]);
  });
});
