import { describe, expect, it } from 'vitest';
import type { ScanName } from '../../../jobs/manifest/colour.js';
import type { VideoFacts } from '../../../jobs/manifest/facts.js';
import type { OutputRecipe } from '../../../jobs/plan/plan.js';
import { escapeFilterValue } from '../../../workers/ffmpeg/escape.js';
import { makeCommand } from '../../../workers/make/make-command.js';
import type { BakedFiles } from '../../../workers/rendering/bake-files.js';
import { clip, codec, HD, LOG, PQ, planned, RGB } from './recipes.js';

const capabilities = { fontFile: '/fonts/Mono.ttf' };
const BAKED: BakedFiles = {
  steps: [{ kind: 'lut3d', path: "/luts/it's: one.cube" }],
  description: '',
  source: '',
  notes: [],
  error: { exact: 1, withinOne: 1, mean: 0, p999: 0, worst: 0 },
};

function optionsOf(
  recipe: Partial<OutputRecipe>,
  video: Partial<VideoFacts> = {},
  baked: BakedFiles | null = null,
) {
  const command = makeCommand({
    clip: clip(video),
    outputs: [{ output: planned(recipe), temporaryPath: '/out/x.part', baked, quantiser: null }],
    taps: [],
    capabilities,
  });
  return command.outputs[0]?.options ?? [];
}
/** The graph as a list of filters, without the metadata cleaning every chain begins with. */
function filtersOf(
  recipe: Partial<OutputRecipe>,
  video: Partial<VideoFacts> = {},
  baked: BakedFiles | null = null,
) {
  const graph = valueAfter(optionsOf(recipe, video, baked), '-filter_complex');
  return graph
    .replace(/^\[0:0\]/, '')
    .replace(/\[v0\];\[0:0\]nullsink$/, '')
    .split(/(?<!\\),/)
    .filter((filter) => !filter.startsWith('sidedata='));
}
function valueAfter(options: readonly string[], name: string): string {
  return options[options.indexOf(name) + 1] ?? '';
}
const TAGGED = 'field_mode=prog:range=tv:color_primaries=bt709:color_trc=bt709:colorspace=bt709';

describe('the command', () => {
  it('decodes once, into every output and then every tap', () => {
    const tap = { path: '/fifo/1', options: ['-map', '0:0', '-f', 'rawvideo'] };
    const command = makeCommand({
      clip: clip(),
      outputs: ['a', 'b'].map((name) => ({
        output: planned({}),
        temporaryPath: `/out/${name}`,
        baked: null,
        quantiser: null,
      })),
      taps: [tap],
      capabilities,
    });
    const decoded = { path: '/card/A001.mov', rate: '25/1', options: ['-noautorotate'] };
    expect(command.inputs).toEqual([decoded]);
    expect(command.outputs.map(({ path }) => path)).toEqual(['/out/a', '/out/b', '/fifo/1']);
    expect(command.outputs[2]).toBe(tap);
    expect(command.outputs.slice(0, 2).map(({ options }) => valueAfter(options, '-map'))).toEqual([
      '[v0]',
      '[v1]',
    ]);
  });

  it.each([
    [4, '4'],
    [64, '16'],
  ])('gives decoder and encoders %d threads', (threads, given) => {
    const outputs = ['a', 'b'].map((name) => ({
      ...{ output: planned({}), temporaryPath: `/out/${name}`, baked: null, quantiser: null },
    }));
    const command = makeCommand({ clip: clip(), outputs, taps: [], capabilities, threads });
    for (const { options } of [...command.inputs, ...command.outputs])
      expect(valueAfter([...options], '-threads:v')).toBe(given);
  });

  it('is this, whole, for a 10-bit intermediate that keeps everything', () => {
    const options = optionsOf({ timecode: '10:00:00:00', reel: 'A001' });
    expect(options.slice(options.indexOf('-map'))).toEqual([
      ...['-map', '[v0]', '-c:v', 'prores_ks', '-profile:v', 'hq', '-alpha_bits', '0'],
      ...['-color_primaries', 'bt709', '-color_trc', 'bt709', '-colorspace', 'bt709', '-color_range', 'tv'],
      ...['-chroma_sample_location', 'left', '-fps_mode', 'passthrough'],
      // 10 frames, 0.4 s at 25: twice that and a thousand.
      ...['-frames:v', '1020', '-an'],
      ...['-map_metadata', '-1', '-map_chapters', '-1', '-timecode', '10:00:00:00'],
      ...['-metadata', 'reel_name=A001', '-metadata:s:v:0', 'reel_name=A001'],
      ...['-movflags', '+write_colr', '-f', 'mov'],
    ]);
  });

  it('never ends an output with its shortest stream', () => {
    expect(optionsOf({})).not.toContain('-shortest');
  });

  it('refuses a job that contradicts itself', () => {
    const rendering = { from: LOG, to: HD, exposure: 0, look: null };
    expect(() => optionsOf({ rendering })).toThrow(/without its LUT/);
    expect(() => optionsOf({}, {}, BAKED)).toThrow(/without a rendering/);
    const command = () =>
      makeCommand({
        clip: clip({}, { video: null }),
        outputs: [{ output: planned({}), temporaryPath: '/out/x', baked: null, quantiser: null }],
        taps: [],
        capabilities,
      });
    expect(command).toThrow(expect.objectContaining({ code: 'bad-job' }));
  });
});

describe('the picture', () => {
  it('passes through untouched where nothing changes', () => {
    expect(filtersOf({})).toEqual([
      `setparams=${TAGGED}`,
      'fps=fps=25/1',
      'setsar=sar=1/1',
      `setparams=${TAGGED}`,
      'format=yuv422p10le',
    ]);
  });

  it('keeps a sample aspect of large terms, which the filter would round', () => {
    expect(filtersOf({ sampleAspect: '160/99' })).toContain('setsar=sar=160/99:max=160');
  });

  it('is never copied with the metadata of the original picture', () => {
    const graph = valueAfter(optionsOf({}), '-filter_complex');
    for (const kind of ['MASTERING_DISPLAY_METADATA', 'CONTENT_LIGHT_LEVEL', 'DISPLAYMATRIX']) {
      expect(graph).toContain(`sidedata=mode=delete:type=${kind}`);
    }
  });

  const names = (filters: readonly string[]) => filters.map((filter) => filter.replace(/=.*/, ''));
  it.each<[string, Partial<OutputRecipe>, Partial<VideoFacts>, string[]]>([
    ['a new depth is one conversion', { video: codec('libx264', 'yuv420p') }, {}, ['zscale']],
    [
      'a new size is one conversion',
      { raster: { width: 64, height: 36, fit: 'exact', scaledWidth: 64, scaledHeight: 36 } },
      {},
      ['zscale'],
    ],
    [
      'a wide picture is padded',
      { raster: { width: 128, height: 96, fit: 'pad', scaledWidth: 128, scaledHeight: 72 } },
      {},
      ['pad', 'split', 'lutyuv', 'lutyuv'],
    ],
    [
      'a picture is cut',
      { raster: { width: 96, height: 72, fit: 'crop', scaledWidth: 128, scaledHeight: 72 } },
      {},
      ['crop'],
    ],
    ['fields become frames', { deinterlace: true, sourceScan: 'interlaced-tff' }, {}, ['bwdif']],
    ['a phone held upright is turned', { rotation: 180 }, { rotation: 180 }, ['hflip', 'vflip']],
  ])('%s', (_, recipe, video, wanted) => {
    const given = names(filtersOf(recipe, video));
    expect(given.filter((name) => !['setparams', 'fps', 'setsar', 'format'].includes(name))).toEqual(wanted);
  });

  it('is deinterlaced by the order the clip has', () => {
    const bwdif = (sourceScan: ScanName) =>
      filtersOf({ deinterlace: true, sourceScan }).find((filter) => filter.startsWith('bwdif'));
    expect(bwdif('interlaced-tff')).toBe('bwdif=mode=send_frame:parity=tff:deint=all');
    expect(bwdif('interlaced-bff')).toBe('bwdif=mode=send_frame:parity=bff:deint=all');
  });

  it('keeps its fields when they stay', () => {
    const recipe = { scan: 'interlaced-tff', sourceScan: 'interlaced-tff' } as const;
    expect(filtersOf(recipe).at(-2)).toContain('field_mode=tff');
    expect(optionsOf(recipe)).toEqual(expect.arrayContaining(['-flags', '+ildct']));
  });

  it('is unpacked with its range named, never by a bare format', () => {
    const filters = filtersOf(
      { sourceColour: { ...HD, range: 'full' } },
      { pixelFormat: 'nv12', bitDepth: 8, chroma: '4:2:0' },
    );
    expect(filters.slice(1, 3)).toEqual([
      'scale=in_range=full:out_range=full:flags=accurate_rnd',
      'format=yuv420p',
    ]);
  });

  it('is rendered by the LUT, whose path no character can leave', () => {
    const graph = valueAfter(
      optionsOf({ sourceColour: LOG, rendering: { from: LOG, to: HD, exposure: 0, look: null } }, {}, BAKED),
      '-filter_complex',
    );
    expect(graph).toContain(`lut3d=file=${escapeFilterValue("/luts/it's: one.cube")}:interp=tetrahedral`);
  });
});

describe('colour tags', () => {
  const tags = (recipe: Partial<OutputRecipe>) => {
    const options = optionsOf({ ...recipe, sourceColour: recipe.colour ?? HD });
    return ['-color_primaries', '-color_trc', '-colorspace', '-color_range'].map((name) =>
      valueAfter(options, name),
    );
  };
  // Source: ITU-T H.273; a camera curve or gamut has no code point and is left unspecified.
  it.each([
    ['BT.709', HD, ['bt709', 'bt709', 'bt709', 'tv']],
    ['BT.2100 PQ', PQ, ['bt2020', 'smpte2084', 'bt2020nc', 'tv']],
    ['RGB', RGB, ['bt709', 'bt709', 'rgb', 'pc']],
    ['camera log', LOG, ['unknown', 'unknown', 'bt709', 'tv']],
    [
      'a camera curve in a standard gamut',
      { ...LOG, primaries: 'bt2020' as const },
      ['bt2020', 'unknown', 'bt709', 'tv'],
    ],
    ['the BT.1886 display', { ...HD, transfer: 'bt1886' as const }, ['bt709', 'bt709', 'bt709', 'tv']],
  ])('%s', (_, colour, wanted) => {
    expect(tags({ colour })).toEqual(wanted);
  });

  it.each([
    ['left in SDR', HD, 'yuv420p10le', 'left'],
    ['top left in BT.2100 4:2:0', PQ, 'yuv420p10le', 'topleft'],
    ['left in 4:2:2', PQ, 'yuv422p10le', 'left'],
  ])('chroma sits %s', (_, colour, format, siting) => {
    const options = optionsOf(
      { colour, sourceColour: colour, video: codec('libx265', format) },
      { pixelFormat: 'yuv444p10le' },
    );
    expect(valueAfter(options, '-chroma_sample_location')).toBe(siting);
  });
});

describe('encoders', () => {
  const DISPLAY = {
    mastering: {
      red: [0.68, 0.32] as [number, number],
      green: [0.265, 0.69] as [number, number],
      blue: [0.15, 0.06] as [number, number],
      white: [0.3127, 0.329] as [number, number],
      minLuminance: 0.0001,
      maxLuminance: 1000,
    },
    lightLevel: { maxCll: 999.2, maxFall: 180 },
  };
  // Units of 0.00002 and 0.0001 cd/m2: ITU-T H.265, mastering display colour volume SEI. Computed by hand.
  const SEI = 'G(13250,34500)B(7500,3000)R(34000,16000)WP(15635,16450)L(10000000,1)';

  it('write static HDR metadata in the units of the SEI, maxima rounded up', () => {
    const hevc = optionsOf({ hdr: DISPLAY, video: codec('libx265', 'yuv420p10le') });
    expect(valueAfter(hevc, '-x265-params')).toBe(`log-level=warning:master-display=${SEI}:max-cll=1000,180`);
    const h264 = optionsOf({ hdr: DISPLAY, video: codec('libx264', 'yuv420p10le') });
    expect(valueAfter(h264, '-x264-params')).toBe(`mastering-display=${SEI}:cll=1000,180`);
  });

  it('write none where the recipe has none', () => {
    expect(valueAfter(optionsOf({ video: codec('libx265', 'yuv420p10le') }), '-x265-params')).toBe(
      'log-level=warning',
    );
    expect(optionsOf({ video: codec('libx264', 'yuv420p10le') })).not.toContain('-x264-params');
  });

  it.each<[string, Partial<OutputRecipe>, string[]]>([
    ['prores', {}, ['-c:v', 'prores_ks', '-profile:v', 'hq']],
    [
      'cineform',
      { video: codec('cfhd', 'gbrp12le', { profile: 'film3+' }) },
      ['-c:v', 'cfhd', '-quality', 'film3+'],
    ],
    [
      'ffv1',
      { container: 'mkv', video: codec('ffv1', 'yuv422p10le') },
      ['-level', '3', '-slices', '4', '-slicecrc', '1'],
    ],
    [
      'h264',
      { video: codec('libx264', 'yuv420p', { crf: 23, maxBitRate: 4_000_000 }) },
      ['-crf', '23', '-maxrate', '4000000', '-bufsize', '8000000'],
    ],
    ['h264 lossless', { video: codec('libx264', 'yuv420p', { lossless: true }) }, ['-qp', '0']],
    [
      'hevc',
      { container: 'mp4', video: codec('libx265', 'yuv420p10le', { profile: 'main10' }) },
      ['-profile:v', 'main10', '-tag:v', 'hvc1', '-crf', '20'],
    ],
    [
      'hevc lossless',
      { video: codec('libx265', 'yuv444p12le', { lossless: true }) },
      ['-x265-params', 'log-level=warning:lossless=1'],
    ],
  ])('%s', (_, recipe, wanted) => {
    expect(optionsOf(recipe)).toEqual(expect.arrayContaining(wanted));
  });

  it.each([
    ['mov', 'mov'],
    ['mp4', 'mp4'],
    ['mkv', 'matroska'],
  ] as const)('go into %s whatever the temporary name looks like', (container, muxer) => {
    expect(optionsOf({ container }).slice(-2)).toEqual(['-f', muxer]);
  });
});

describe('sound', () => {
  const sounds = [
    {
      stream: 1,
      codec: 'pcm_s24le',
      channels: 1,
      layout: null,
      sampleRate: 48000,
      bitDepth: 24,
      durationSeconds: 1,
    },
    {
      stream: 2,
      codec: 'pcm_s24le',
      channels: 8,
      layout: null,
      sampleRate: 48000,
      bitDepth: 24,
      durationSeconds: 1,
    },
    {
      stream: 3,
      codec: 'pcm_s24le',
      channels: 6,
      layout: '5.1',
      sampleRate: 48000,
      bitDepth: 24,
      durationSeconds: 1,
    },
  ];
  const soundOf = (audio: OutputRecipe['audio']) => {
    const command = makeCommand({
      clip: clip({}, { audio: sounds }),
      outputs: [{ output: planned({ audio }), temporaryPath: '/x', baked: null, quantiser: null }],
      taps: [],
      capabilities,
    });
    const options = command.outputs[0]?.options ?? [];
    return options.slice(options.indexOf('-frames:v') + 2, options.indexOf('-map_metadata'));
  };

  const SOUND = {
    ...{ codec: 'aac' as const, sampleRate: null, bitRate: 192000, streams: [] },
    chosen: false,
  };

  it('keeps every stream in order', () => {
    const audio = { ...SOUND, codec: 'pcm_s24le', sampleRate: 48000, bitRate: null, stereo: null } as const;
    expect(soundOf({ ...audio, streams: [1, 2, 3] })).toEqual([
      '-map',
      '0:1',
      '-map',
      '0:2',
      '-map',
      '0:3',
      '-c:a',
      'pcm_s24le',
      '-ar',
      '48000',
    ]);
  });

  it.each([
    ['mono at its own level on both sides', 1, [1], [1], 'c0=c0|c1=c0'],
    ['the first two of channels without names', 2, [1, 0, 0], [0, 1, 0], 'c0=c0|c1=c1'],
    [
      'gains',
      3,
      [0.5, 0, 0.25],
      [0, 0.5, 0.25],
      'c0=0.500000000*c0+0.250000000*c2|c1=0.500000000*c1+0.250000000*c2',
    ],
  ])('to stereo: %s', (_, stream, left, right, pan) => {
    expect(soundOf({ ...SOUND, stereo: [{ stream, left, right }] })).toEqual([
      ...['-map', `0:${stream}`, '-filter:a:0', `aformat=sample_fmts=dblp,pan=stereo|${pan}`],
      ...['-c:a', 'aac', '-b:a', '192000'],
    ]);
  });

  it('adds tracks up in one graph, as long as the longest, at the gains of the recipe', () => {
    const stereo = [
      { stream: 1, left: [1], right: [0] },
      { stream: 4, left: [0], right: [1] },
    ];
    const [option, graph, map, label] = soundOf({ ...SOUND, stereo });
    expect([option, map, label]).toEqual(['-filter_complex', '-map', '[a0]']);
    expect(graph).toContain(
      '[0:4]aresample=async=1:first_pts=0,aformat=sample_fmts=dblp,pan=stereo|c0=0*c0|c1=c0[a0_1]',
    );
    expect(graph).toContain('amix=inputs=2:duration=longest:normalize=0[a0]');
  });

  it('is left out where the recipe has none', () => {
    expect(soundOf(null)).toEqual(['-an']);
  });
});

describe('burn-in', () => {
  const texts = (recipe: Partial<OutputRecipe>, sourceRate = recipe.frameRate) =>
    filtersOf(recipe, { frameRate: sourceRate ?? '25/1' }).filter((filter) => filter.startsWith('drawtext'));

  it('draws name and running timecode, drop frame by its separator', () => {
    const [name, clock] = texts({
      frameRate: '30000/1001',
      burnIn: { clipName: 'A001', timecode: '01:00:00;02', reel: null, text: null },
    });
    expect(name).toContain(':text=A001');
    expect(clock).toContain('timecode=01\\\\:00\\\\:00\\;02:timecode_rate=30000/1001');
  });

  it('draws the reel before the name and a line of text below, on lines of their own', () => {
    const drawn = texts({ burnIn: { clipName: 'A001', timecode: null, reel: 'R7', text: 'for review' } });
    expect(drawn).toHaveLength(2);
    // Blanks are escaped.
    expect(drawn[0]?.replaceAll('\\', '')).toContain(':text=R7  A001');
    expect(drawn[1]?.replaceAll('\\', '')).toContain(':text=for review');
    const heights = drawn.map((filter) => /:y=(\d+):/.exec(filter)?.[1]);
    expect(new Set(heights).size).toBe(2);
    const none = { clipName: null, timecode: null, reel: null, text: null };
    expect(texts({ burnIn: none })).toEqual([]);
  });

  it('counts on at the rate of the output, and draws no timecode that does not exist', () => {
    const burnIn = { clipName: null, timecode: '10:00:00:49', reel: null, text: null };
    expect(texts({ burnIn, frameRate: '25/1' }, '50/1')[0]).toContain('timecode=10\\\\:00\\\\:00\\\\:24:');
    expect(texts({ burnIn, frameRate: '25/1' }, '25/1')).toEqual([]);
  });

  // ITU-R BT.2408 table 1: reference white at 58 % of PQ and 75 % of HLG. 0.58 x 255 = 148 = 0x94; 0.75 x 255
  // = 191 = 0xbf.
  it.each([
    ['SDR', HD, 'white'],
    ['PQ', PQ, '0x949494'],
    ['HLG', { ...PQ, transfer: 'arib-std-b67' as const }, '0xbfbfbf'],
  ])('is reference white in %s', (_, colour, wanted) => {
    expect(
      texts({
        colour,
        sourceColour: colour,
        burnIn: { clipName: 'x', timecode: null, reel: null, text: null },
      })[0],
    ).toContain(`fontcolor=${wanted}:`);
  });

  it('needs a font', () => {
    const command = () =>
      makeCommand({
        clip: clip(),
        outputs: [
          {
            output: planned({ burnIn: { clipName: 'x', timecode: null, reel: null, text: null } }),
            temporaryPath: '/x',
            baked: null,
            quantiser: null,
          },
        ],
        taps: [],
        capabilities: { ...capabilities, fontFile: null },
      });
    expect(command).toThrow(expect.objectContaining({ code: 'missing-tool' }));
  });
});
