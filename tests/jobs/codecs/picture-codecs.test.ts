import { describe, expect, it } from 'vitest';
import { isExactPicture, isIntra, isNamed, keepsDetail } from '../../../jobs/codecs/codec-traits.js';
import type { PictureCodec } from '../../../jobs/codecs/picture-codec.js';
import { codecOfEncoder, PICTURE_CODECS, pictureCodec } from '../../../jobs/codecs/picture-codecs.js';
import { SOUND_CODECS } from '../../../jobs/codecs/sound-codecs.js';
import { codec, RECIPE } from '../../workers/make/recipes.js';

const ALL: readonly PictureCodec[] = PICTURE_CODECS;

describe('the list of codecs', () => {
  it('names each by one name and one encoder', () => {
    for (const key of ['name', 'encoder', 'decodedAs'] as const)
      expect(new Set(ALL.map((each) => each[key])).size).toBe(ALL.length);
    expect(new Set(SOUND_CODECS.map(({ name }) => name)).size).toBe(SOUND_CODECS.length);
    for (const { name, encoder } of PICTURE_CODECS) expect(pictureCodec(name)).toBe(codecOfEncoder(encoder));
  });

  it.each(PICTURE_CODECS)('$name: its facts agree with one another and with its arguments', (listed) => {
    const each: PictureCodec = listed;
    expect(each.containers.length).toBeGreaterThan(0);
    // What loses nothing has a form that loses nothing, and proves detail.
    if (each.fidelity === 'exact') expect(each.losslessForm).toBe(true);
    expect(isExactPicture(each.decodedAs)).toBe(each.fidelity === 'exact');
    expect(keepsDetail(each.decodedAs)).toBe(each.fidelity !== 'seen');
    expect(isIntra(each.decodedAs)).toBe(each.intra);
    for (const name of [each.name, each.decodedAs, ...each.aliases])
      expect(isNamed(each.decodedAs, name)).toBe(true);
    expect(isNamed(each.decodedAs, 'vp9')).toBe(false);

    const video = codec(listed.encoder, each.usualFormats[0] ?? '', { profile: each.defaultProfile });
    const args = each.encoderArguments({ ...RECIPE, video, container: each.containers[0] ?? 'mkv' }, null);
    expect(args.slice(0, 2)).toEqual(['-c:v', each.encoder]);
    if (each.defaultProfile !== null) expect(args).toContain(each.defaultProfile);
    expect(args.includes('-crf')).toBe(each.defaultCrf !== null);
    if (each.defaultCrf !== null) expect(args[args.indexOf('-crf') + 1]).toBe(String(each.defaultCrf));
    expect(each.bitsPerPixel({ ...RECIPE, video })).toBeGreaterThan(0);
  });
});
