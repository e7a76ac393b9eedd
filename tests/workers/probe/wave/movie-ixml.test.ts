import { writeFile } from 'node:fs/promises';
import { execa } from 'execa';
import { afterAll, expect, it } from 'vitest';
import { probeClip } from '../../../../workers/probe/probe-clip.js';
import { movieIxml } from '../../../../workers/probe/wave/known-ixml.js';
import { temporaryFolder } from '../../../media/known-clip.js';

/** iXML specification, its page on movie files: metadata with the key `info.ixml.metadata`. */
const KEY = 'info.ixml.metadata';
const INSIDE = '<TAPE>S007</TAPE><SCENE>12A</SCENE><TAKE>3</TAKE><NOTE>boom low</NOTE>';
const IXML = `<?xml version="1.0" encoding="UTF-8"?><BWFXML>${INSIDE}</BWFXML>`;

const folder = await temporaryFolder();
afterAll(folder.remove);

it('reads scene, take and reel of MOV and MP4, and of no tag that only looks like it', async () => {
  await writeFile(`${folder.path}/metadata.txt`, `;FFMETADATA1\n${KEY}=${IXML.replaceAll('=', '\\=')}\n`);
  for (const [name, options] of [
    ['take.mov', ['-movflags', 'use_metadata_tags']],
    ['take.mp4', ['-movflags', 'use_metadata_tags']],
    ['take.mkv', []],
  ] as const) {
    const path = `${folder.path}/${name}`;
    await execa('ffmpeg', [
      ...['-v', 'error', '-f', 'lavfi', '-i', 'color=s=32x32:r=25:d=0.2', '-f', 'ffmetadata'],
      ...['-i', `${folder.path}/metadata.txt`, '-map', '0:v', '-map_metadata', '1', ...options, path],
    ]);
    const { container } = await probeClip(path);
    const isMovie = name !== 'take.mkv';
    expect(container.slate).toEqual(isMovie ? { scene: '12A', take: '3', note: 'boom low' } : undefined);
    expect(container.reel).toBe(isMovie ? 'S007' : null);
    if (isMovie) expect(Object.keys(container.tags)).not.toContain(KEY);
  }
}, 60_000);

it.each([
  ['cut short', IXML.slice(0, -9), /cannot be read/],
  ['with a document type', `<!DOCTYPE a [<!ENTITY b "c">]><BWFXML>${INSIDE}</BWFXML>`, /document type/],
  ['another document', '<svg/>', /begins with <svg>/],
  ['longer than any take', `<BWFXML>${' '.repeat(2 ** 20)}${INSIDE}</BWFXML>`, /longer than 1 MiB/],
])('iXML that is %s is told and not believed', (_, text, why) => {
  const { reel, slate, notes } = movieIxml({ [KEY]: text });
  expect([reel, slate]).toEqual([null, undefined]);
  expect(notes.join()).toMatch(why);
});

it('a movie without it says nothing of it', () => {
  expect(movieIxml({})).toEqual({ reel: null, slate: undefined, notes: [] });
});
