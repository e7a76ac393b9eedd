import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { PictureMistake } from '../../../jobs/measurement/measured-comparison.js';
import { FRAMES, Pairs, PICTURE } from './pairs.js';

/** Each mistake is made on purpose by a filter of ffmpeg, in a copy that is otherwise without loss. */
const SHIFTED = 'pad=w=iw+4:h=ih:x=4:y=0,crop=w=iw-4:h=ih:x=0:y=0';
const LATE = `tpad=start=1:start_mode=clone,trim=end_frame=${FRAMES}`;
const EARLY = 'trim=start_frame=1,setpts=PTS-STARTPTS,tpad=stop=1:stop_mode=clone';
const LOOK = 'lutrgb=r=maxval*pow(val/maxval\\,0.75):g=maxval*pow(val/maxval\\,1.1):b=val*0.8+maxval*0.05';

const YCBCR: readonly (readonly [PictureMistake, string, string, RegExp])[] = [
  ['mirrored', 'left to right', 'hflip', /left and right/],
  ['mirrored', 'upside down', 'vflip', /top and bottom/],
  ['mirrored', 'turned', 'hflip,vflip', /180 degrees/],
  ['frame-offset', 'late', LATE, /one frame late/],
  ['frame-offset', 'early', EARLY, /one frame early/],
  ['swapped-fields', 'lines exchanged', 'il=ls=1:cs=1', /lines of each pair/],
  ['swapped-fields', 'one field late', 'phase=mode=t', /field is one frame late/],
  ['channels-exchanged', 'Cb and Cr', 'swapuv', /Cb and Cr/],
  ['wrong-range', 'made narrow', 'scale=in_range=full:out_range=limited:flags=accurate_rnd', /made narrow/],
  [
    'wrong-range',
    'made full',
    'scale=in_range=limited:out_range=full:flags=accurate_rnd,setparams=range=tv',
    /made full/,
  ],
  [
    'wrong-matrix',
    'taken for BT.601',
    'scale=in_color_matrix=bt601:out_color_matrix=bt709:flags=accurate_rnd',
    /taken for BT.601 and coded by BT.709/,
  ],
  ['wrong-matrix', 'coded by BT.2020', 'zscale=min=709:m=2020_ncl', /taken for BT.709 and coded by BT.2020/],
  [
    'cropped',
    'a tenth',
    'crop=w=iw*0.9:h=ih*0.9,scale=192:108:flags=bicubic',
    /shows (89|90)\.\d % of the width/,
  ],
  ['shifted', 'four pixels', SHIFTED, /4\.0\d pixels to the right/],
  ['chroma-shift', 'half a pixel', 'zscale=cin=left:c=center', /chroma is moved by 0\.2\d/],
  ['chroma-shift', 'two pixels', 'chromashift=cbh=1:crh=1', /chroma is moved by/],
  ['level-shift', 'lifted', 'lutyuv=y=val+20', /2\.0 % of the scale higher/],
  ['level-shift', 'a cast', 'lutyuv=u=val+16', /^Cb levels 1\.6 % of the scale higher on average$/],
  ['level-shift', 'gain', 'lutyuv=y=64+(val-64)*0.93', /contrast times 0\.9[23]/],
  ['gamma-shift', 'darker', 'lutyuv=y=64+876*pow((clip(val\\,64\\,940)-64)/876\\,1.2)', /gamma of 1\.20/],
  ['gamma-shift', 'brighter', 'lutyuv=y=64+876*pow((clip(val\\,64\\,940)-64)/876\\,0.9)', /gamma of 0\.90/],
  ['clipped-highlight', 'at 600', 'lutyuv=y=min(val\\,600)', /one level/],
  [
    'look',
    'of each channel',
    `zscale=m=gbr:r=full,format=gbrp12le,${LOOK},zscale=m=709:r=limited,format=yuv422p10le`,
    /look/,
  ],
];

const RGB: typeof YCBCR = [
  ['mirrored', 'left to right', 'hflip', /left and right/],
  ['channels-exchanged', 'red and blue', 'colorchannelmixer=rr=0:rb=1:bb=0:br=1', /R' and B'/],
  ['channels-exchanged', 'moved round', 'colorchannelmixer=rr=0:rg=1:gg=0:gb=1:bb=0:br=1', /moved round/],
  [
    'wrong-range',
    'made narrow',
    'lutrgb=r=256+val*3504/4095:g=256+val*3504/4095:b=256+val*3504/4095',
    /made narrow/,
  ],
  ['level-shift', 'lifted', 'lutrgb=r=val+100:g=val+100:b=val+100', /2\.\d % of the scale higher/],
  [
    'clipped-highlight',
    'at 2400',
    'lutrgb=r=min(val\\,2400):g=min(val\\,2400):b=min(val\\,2400)',
    /one level/,
  ],
  [
    ...(['wrong-matrix', 'coded by BT.601, decoded by BT.709'] as const),
    'zscale=m=170m:r=full,format=yuv444p12le,zscale=min=709:rin=full:m=gbr',
    /coded by BT.601, decoded by BT.709/,
  ],
  ['look', 'of each channel', LOOK, /look/],
];

const LOSSLESS = ['-c:v', 'ffv1'];
const PRORES = ['-c:v', 'prores_ks', '-profile:v', 'hq'];
const KINDS = [
  { kind: "Y'CbCr", pixelFormat: 'yuv422p10le', mistakes: YCBCR, options: LOSSLESS },
  { kind: "Y'CbCr under ProRes HQ", pixelFormat: 'yuv422p10le', mistakes: YCBCR, options: PRORES },
  { kind: "R'G'B'", pixelFormat: 'gbrp12le', mistakes: RGB, options: LOSSLESS },
];

let pairs: Pairs;
beforeAll(async () => {
  pairs = await Pairs.begin();
});
afterAll(() => pairs.end());

describe.each(KINDS)('mistakes in $kind', ({ kind, pixelFormat, mistakes, options }) => {
  const nameOf = (index: number): string => `${kind} ${index}.mkv`;
  const original = `${kind}.mkv`;
  beforeAll(async () => {
    const path = await pairs.draw(original, pixelFormat);
    const copies = mistakes.map(([, , filters], index) => ({
      ...{ name: nameOf(index), options },
      filters: `${filters},format=${pixelFormat}`,
    }));
    await pairs.copy(path, copies);
    await pairs.raw([original, ...copies.map(({ name }) => name)].map((name) => ({ name, pixelFormat })));
  });

  it.each(mistakes.map(([name, what, , detail], index) => ({ name, what, detail, index })))(
    '$name: $what',
    ({ name, detail, index }) => {
      const { mistake } = pairs.compareRaw(original, nameOf(index), pixelFormat);
      expect(mistake).toMatchObject({ name, detail: expect.stringMatching(detail) });
    },
  );
});

describe('what is no such mistake', () => {
  const WRONG = [
    // A plain bar that moves by one sample a frame: two frames late is half explained by one.
    { name: 'two late', copy: `tpad=start=2:start_mode=clone,trim=end_frame=${FRAMES}` },
    { name: 'black', copy: 'lutyuv=y=64:u=512:v=512' },
    { name: 'grey', copy: 'lutyuv=y=300:u=512:v=512' },
  ];
  it.each(WRONG)('$name', async ({ name, copy }) => {
    const soft = 'color=black:s=192x108:r=25,format=gray,geq=lum=128+90*sin((X-N)/12)';
    const path = await pairs.draw(`${name} original.mkv`, 'yuv422p10le', soft);
    await pairs.copy(path, [{ name: `${name}.mkv`, filters: copy }]);
    const { mistake } = await pairs.compare(path, pairs.path(`${name}.mkv`));
    expect(mistake?.name).not.toBe('clipped-highlight');
    expect(mistake?.name).not.toBe('frame-offset');
  });
});

describe('other pictures', () => {
  const noise = (seed: number, strength: number): string =>
    `color=gray:s=192x108:r=25,noise=alls=${strength}:all_seed=${seed}:allf=t`;
  const ORIGINALS = [
    { what: 'noise in place of noise', original: noise(1, 40), other: noise(2, 40) },
    { what: 'noise in place of a picture', original: PICTURE, other: noise(9, 100) },
  ];
  it.each(ORIGINALS)('$what', async ({ what, original, other }) => {
    const path = await pairs.draw(`${what} original.mkv`, 'yuv422p10le', original);
    await pairs.draw(`${what}.mkv`, 'yuv422p10le', other);
    await pairs.copy(pairs.path(`${what}.mkv`), [
      { name: `${what}.mov`, filters: 'null', options: ['-c:v', 'prores_ks', '-profile:v', 'hq'] },
    ]);
    for (const copy of ['mkv', 'mov']) {
      const { mistake } = await pairs.compare(path, pairs.path(`${what}.${copy}`));
      expect(mistake?.name, copy).toBe('other-picture');
    }
  });
});

describe('files', () => {
  it('long groups of pictures and a clock that rounds hide no frame, and show none where none is missing', async () => {
    const path = await pairs.draw('rate.mkv', 'yuv420p10le', PICTURE.replaceAll('r=25', 'r=30000/1001'));
    const coded = ['-c:v', 'libx264', '-qp', '0', '-bf', '3', '-g', '250'];
    await pairs.copy(path, [
      { name: 'same.mp4', filters: 'null', options: coded },
      { name: 'late.mp4', filters: LATE, options: coded },
    ]);
    expect(await pairs.compare(path, pairs.path('same.mp4'))).toMatchObject({ bitsKept: 10, mistake: null });
    expect(await pairs.compare(path, pairs.path('late.mp4'))).toMatchObject({
      mistake: { name: 'frame-offset', detail: 'the copy is one frame late' },
    });
  });

  it('range and sampling that both files declare are no mistake', async () => {
    const path = await pairs.draw('narrow.mkv', 'yuv422p10le');
    await pairs.copy(path, [
      {
        name: 'full.mkv',
        filters: 'zscale=rin=limited:r=full,format=yuv422p12le',
        options: ['-c:v', 'ffv1'],
      },
      { name: '420.mkv', filters: 'zscale=c=left,format=yuv420p10le' },
    ]);
    expect((await pairs.compare(path, pairs.path('full.mkv'))).mistake).toBeNull();
    const sampled = await pairs.compare(path, pairs.path('420.mkv'));
    expect(sampled.mistake).toBeNull();
    expect(sampled.planes[0]).toMatchObject({ plane: 'Y', bitsKept: 10 });
  });
});
