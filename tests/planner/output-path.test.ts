import { describe, expect, it } from 'vitest';
import { ClipNames, OutputPaths } from '../../planner/output-path.js';

describe('OutputPaths', () => {
  it('keeps folders and every character of a name', () => {
    const paths = new OutputPaths();
    const odd = `cards/A 001/-it's "50%" $(x): [夜] 'q'.mov`;
    expect(paths.claim('proxy', odd, 'mp4')).toBe(`proxy/cards/A 001/-it's "50%" $(x): [夜] 'q'.mp4`);
  });

  it('keeps two clips apart that differ in extension or in case only', () => {
    const paths = new OutputPaths();
    expect(paths.claim('proxy', 'A001.mov', 'mp4')).toBe('proxy/A001.mp4');
    expect(paths.claim('proxy', 'A001.mxf', 'mp4')).toBe('proxy/A001.mxf.mp4');
    expect(paths.claim('proxy', 'a001.MOV', 'mp4')).toBe('proxy/a001.MOV.mp4');
    expect(paths.claim('other', 'A001.mov', 'mp4')).toBe('other/A001.mp4');
  });

  it('never climbs out of the batch folder', () => {
    expect(new OutputPaths().claim('proxy', '../../etc/./passwd.mov', 'mp4')).toBe('proxy/etc/passwd.mp4');
  });

  it('cuts a name no file system takes, between characters, and still keeps names apart', () => {
    const paths = new OutputPaths();
    const first = paths.claim('proxy', `${'夜'.repeat(90)}1.mov`, 'mp4');
    const second = paths.claim('proxy', `${'夜'.repeat(90)}2.mov`, 'mp4');
    expect(Buffer.byteLength(first.split('/')[1] ?? '')).toBeLessThanOrEqual(200);
    expect(first).not.toBe(second);
    expect(first).not.toContain('\ufffd');
  });
});

describe('ClipNames', () => {
  it('keeps names apart that some file system takes for one: another case, another way to write an accent', () => {
    const names = new ClipNames();
    expect(names.claim('A/C001.mov')).toBe('A/C001.mov');
    expect(names.claim('B/C001.mov')).toBe('B/C001.mov');
    expect(names.claim('a/c001.MOV')).toBe('a/c001 (2).MOV');
    expect(names.claim('Stra\u00dfe')).toBe('Stra\u00dfe');
    expect(names.claim('STRASSE')).toBe('STRASSE (2)');
    expect(names.claim('Caf\u00e9.v1/x')).toBe('Caf\u00e9.v1/x');
    expect(names.claim('Cafe\u0301.v1/x')).toBe('Cafe\u0301.v1/x (2)');
  });
});
