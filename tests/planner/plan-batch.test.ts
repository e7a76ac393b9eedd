import { describe, expect, it } from 'vitest';
import { type Manifest, manifest as manifestSchema } from '../../jobs/manifest/manifest.js';
import type { Capabilities } from '../../jobs/plan/capabilities.js';
import { type Plan, plan as planSchema } from '../../jobs/plan/plan.js';
import { builtInTargets } from '../../jobs/targets/load-target.js';
import { type Target, target } from '../../jobs/targets/target.js';
import { planBatch } from '../../planner/plan-batch.js';
import { originalMeasurementFile } from '../../workers/batch/folder.js';
import { CAPABILITIES, clipFacts } from './make-facts.js';

const BUILT_IN = new Map((await builtInTargets()).map((each) => [each.name, each]));

function manifest(clips: Manifest['clips'], defaults?: Manifest['defaults']): Manifest {
  return manifestSchema.parse({
    schema: 'goodgate/manifest@1',
    title: 'Night shift',
    root: '.',
    defaults,
    clips,
  });
}

function plan(
  document: Manifest,
  chosen: string[],
  changes: { targets?: Map<string, Target>; capabilities?: Capabilities; version?: string } = {},
): Plan {
  return planBatch({
    manifest: document,
    root: '/cards/A001',
    out: '/work/out',
    targets: changes.targets ?? BUILT_IN,
    chosen,
    capabilities: changes.capabilities ?? CAPABILITIES,
    version: changes.version ?? '1',
    looks: new Map([
      ['looks/night.cube', { path: '/shoot/looks/night.cube', hash: 'abc' }],
      ['gone.cube', { path: '/shoot/gone.cube', fault: 'there is no such file' }],
      ['/dev/zero', { path: '/dev/zero', fault: 'this is no plain file' }],
    ]),
    workers: 2,
  });
}

/** The plan as a person would tell it. */
function steps(planned: Plan): string[] {
  return [
    ...planned.jobs.flatMap((job) => [
      `decode ${job.clip.name}`,
      ...job.outputs.map((output) => {
        const { video, raster, colour, rendering } = output.recipe;
        return `  make ${output.path}: ${video.encoder} ${video.pixelFormat} ${raster.width}x${raster.height} ${colour.transfer}/${colour.primaries} ${colour.range}${rendering === null ? '' : ` rendered from ${rendering.from.transfer}${rendering.look === null ? '' : ` through ${rendering.look.file}`}`}; loses ${output.losses.map((loss) => loss.what).join(', ')}`;
      }),
      ...job.judge.map((each) => `  judge against ${each.target}`),
    ]),
    ...planned.refused.map((refusal) => `refuse ${refusal.clip} -> ${refusal.target}: ${refusal.reason}`),
  ];
}

const LOG_CLIP = {
  file: 'A001C001.mov',
  colour: { transfer: 'S-Log3' as const, primaries: 'S-Gamut3.Cine' as const },
  look: 'looks/night.cube',
  exposure: 0.5,
  facts: clipFacts({ width: 3840, height: 2160 }),
};

it('two clips whose names some file systems take for one share no output and no document', () => {
  const facts = clipFacts({});
  const names = ['A/C001.mov', 'B/C001.mov', 'a/c001.mov', 'A/Caf\u00e9.mov', 'A/Cafe\u0301.mov'];
  const planned = plan(manifest(names.map((file) => ({ file, facts }))), ['intermediate-422-10']);
  const made = planned.jobs.flatMap(({ clip, outputs }) => [
    originalMeasurementFile(clip.name),
    ...outputs.map(({ path }) => path),
  ]);
  expect(new Set(made.map((path) => path.normalize('NFC').toLowerCase())).size).toBe(10);
  expect(planned.jobs.map(({ clip }) => clip.path)).toEqual(names.map((name) => `/cards/A001/${name}`));
  expect(planned.notes.filter((note) => note.includes('called'))).toEqual([
    expect.stringContaining('a/c001.mov: called a/c001 (2).mov'),
    expect.stringContaining('called A/Cafe\u0301 (2).mov'),
  ]);
});

describe('planBatch', () => {
  it('keeps log as log in an intermediate, and renders the proxy through the look', () => {
    expect(steps(plan(manifest([LOG_CLIP]), ['intermediate-422-10', 'proxy-h264']))).toEqual([
      'decode A001C001.mov',
      '  make intermediate-422-10/A001C001.mov: prores_ks yuv422p10le 3840x2160 S-Log3/S-Gamut3.Cine narrow; loses lossy-coding',
      expect.stringMatching(
        /^ {2}make proxy-h264\/A001C001\.mp4: libx264 yuv420p 1920x1080 bt709\/bt709 narrow rendered from S-Log3 through \/shoot\/looks\/night\.cube; loses depth, chroma, raster, rendering, burn-in, lossy-coding, sound/,
      ),
    ]);
  });

  it('is a plan by its own schema, and pure: the same request gives the same plan', () => {
    const first = plan(manifest([LOG_CLIP]), ['intermediate-422-10', 'proxy-h264']);
    expect(planSchema.parse(JSON.parse(JSON.stringify(first)))).toEqual(first);
    expect(plan(manifest([LOG_CLIP]), ['intermediate-422-10', 'proxy-h264'])).toEqual(first);
  });

  it('judges a master against a target that makes nothing', () => {
    expect(steps(plan(manifest([{ file: 'master.mov', facts: clipFacts() }]), ['hd-sdr-master']))).toEqual([
      'decode master.mov',
      '  judge against hd-sdr-master',
    ]);
  });

  it('refuses, with the reason and a way out, what cannot work', () => {
    const clips = [
      { file: 'sound.wav', facts: clipFacts(null), targets: ['proxy-h264'] },
      { file: 'unscanned.mov' },
      { file: 'lost-look.mov', look: 'gone.cube', facts: clipFacts() },
      { file: 'device.mov', look: '/dev/zero', facts: clipFacts() },
      { file: 'good.mov', facts: clipFacts() },
    ];
    const planned = plan(manifest(clips), ['proxy-h264']);
    expect(planned.jobs.map((job) => job.clip.name)).toEqual(['good.mov']);
    expect(planned.refused.map((refusal) => [refusal.clip, refusal.reason])).toEqual([
      ['sound.wav', 'the file has no picture'],
      ['unscanned.mov', 'the manifest has no facts of this clip'],
      ['lost-look.mov', 'the look "gone.cube" cannot be used: there is no such file'],
      ['device.mov', 'the look "/dev/zero" cannot be used: this is no plain file'],
    ]);
    for (const refusal of planned.refused) expect(refusal.next).not.toBe('');
  });

  it('has a look that cannot be used cost only the outputs that want it', () => {
    const planned = plan(manifest([{ ...LOG_CLIP, look: 'gone.cube' }]), [
      'intermediate-422-10',
      'proxy-h264',
    ]);
    expect(planned.jobs[0]?.outputs.map(({ target }) => target)).toEqual(['intermediate-422-10']);
    expect(planned.refused).toEqual([
      expect.objectContaining({
        target: 'proxy-h264',
        reason: 'the look "gone.cube" cannot be used: there is no such file',
        next: expect.stringContaining('outputs without a look are made'),
      }),
    ]);
  });

  it('makes nothing of sound recorded apart, and says so; a card of nothing else is refused', () => {
    const sound = { file: 'sound.wav', facts: clipFacts(null) };
    const beside = plan(manifest([sound, { file: 'good.mov', facts: clipFacts() }]), ['proxy-h264']);
    expect([beside.jobs.length, beside.refused]).toEqual([1, []]);
    expect(beside.notes.join()).toContain('nothing is made: 1 file: sound.wav');
    expect(plan(manifest([sound]), ['proxy-h264']).refused).toHaveLength(1);
    // In a list each clip has targets of its own, and sound has none.
    const listed = plan(
      manifest([sound, { file: 'good.mov', facts: clipFacts(), targets: ['proxy-h264'] }]),
      [],
    );
    expect([listed.jobs.length, listed.refused, listed.soundApart.length]).toEqual([1, [], 1]);
  });

  it('takes no look where a clip says null, whatever the defaults say', () => {
    const clips = [
      { ...LOG_CLIP, look: null },
      { ...LOG_CLIP, file: 'b.mov', look: undefined },
    ];
    const planned = plan(manifest(clips, { look: 'looks/night.cube' }), ['proxy-h264']);
    expect(planned.jobs.map((job) => job.outputs[0]?.recipe.rendering?.look?.file ?? null)).toEqual([
      null,
      '/shoot/looks/night.cube',
    ]);
  });

  it('takes the sound that is there where the defaults do not fit a clip, and says so; its own word has to fit', () => {
    const mono = (stream: number) => ({
      ...{ stream, codec: 'pcm_s24le', channels: 1, layout: 'mono', sampleRate: 48_000 },
      ...{ bitDepth: 24, durationSeconds: 4 },
    });
    const one = clipFacts({}, { audio: [mono(1)] });
    const clips = [
      { file: 'one.mov', facts: one },
      { file: 'two.mov', facts: clipFacts({}, { audio: [mono(1), mono(2)] }) },
      { file: 'own.mov', sound: [1, 2], facts: one },
    ];
    const planned = plan(manifest(clips, { sound: [1, 2] }), ['proxy-h264']);
    expect(planned.jobs.map(({ outputs }) => outputs[0]?.recipe.audio?.stereo)).toEqual([
      [{ stream: 1, left: [1], right: [1] }],
      [
        { stream: 1, left: [1], right: [0] },
        { stream: 2, left: [0], right: [1] },
      ],
    ]);
    expect(planned.notes).toEqual([
      'one.mov: the defaults name sound tracks 1 and 2, the clip has one track: sound track 1 is used; if that is wrong, set sound: for this clip',
    ]);
    expect(planned.refused).toMatchObject([
      { clip: 'own.mov', reason: 'its sound: setting in the manifest names sound track 2, the clip has 1' },
    ]);
    // A target that keeps every track takes no choice, so there is nothing to say.
    expect(plan(manifest(clips.slice(0, 1), { sound: [1, 2] }), ['intermediate-422-10']).notes).toEqual([]);
  });

  it('burns in the reel of manifest or file and a line of text, where the target asks for them', () => {
    const marked = target.parse({
      ...{ schema: 'goodgate/target@1', name: 'marked', title: 'Marked' },
      make: {
        container: 'mov',
        video: { codec: 'prores', profile: 'HQ', bitDepth: 10, chroma: '4:2:2' },
        burnIn: { clipName: true, reel: true, text: 'for review' },
      },
    });
    const clips = [
      { file: 'one/A.mov', reel: 'R7', facts: clipFacts() },
      { file: 'two/A.mov', facts: clipFacts() },
    ];
    const planned = plan(manifest(clips), ['marked'], { targets: new Map([['marked', marked]]) });
    expect(planned.jobs.map(({ outputs }) => outputs[0]?.recipe.burnIn)).toEqual([
      { timecode: null, clipName: 'A.mov', reel: 'R7', text: 'for review' },
      { timecode: null, clipName: 'A.mov', reel: 'A001', text: 'for review' },
    ]);
    // Only the line of text, and nothing of a clip without a reel.
    const reelOnly = {
      ...marked,
      make: { ...marked.make, burnIn: { timecode: false, clipName: false, reel: true } },
    };
    const container = { ...clipFacts().container, reel: null };
    const bare = plan(manifest([{ file: 'b.mov', facts: { ...clipFacts(), container } }]), ['marked'], {
      targets: new Map([['marked', target.parse(reelOnly)]]),
    });
    expect(bare.jobs[0]?.outputs[0]?.recipe.burnIn).toBeNull();
  });

  it('refuses 12 bits of an encoder that takes 10 in, and names the codecs that keep them', () => {
    const twelve = target.parse({
      schema: 'goodgate/target@1',
      name: 'twelve',
      title: 'Twelve bits',
      make: { container: 'mov', video: { codec: 'prores', profile: '4444', bitDepth: 12, chroma: '4:4:4' } },
    });
    const planned = plan(manifest([{ file: 'a.mov', facts: clipFacts() }]), ['twelve'], {
      targets: new Map([['twelve', twelve]]),
    });
    expect(planned.jobs).toEqual([]);
    expect(planned.refused[0]?.reason).toContain('prores_ks accepts yuv422p10le, yuv444p10le, yuva444p10le');
    expect(planned.refused[0]?.next).toContain('cineform, ffv1');
  });

  it('refuses a target whose encoder this ffmpeg lacks, and keeps the others', () => {
    const { libx264: _gone, ...encoders } = CAPABILITIES.encoders;
    const planned = plan(
      manifest([{ file: 'a.mov', facts: clipFacts() }]),
      ['intermediate-422-10', 'proxy-h264'],
      {
        capabilities: { ...CAPABILITIES, encoders },
      },
    );
    expect(planned.jobs[0]?.outputs.map((output) => output.target)).toEqual(['intermediate-422-10']);
    expect(planned.refused[0]?.reason).toBe('this ffmpeg has no libx264 encoder');
  });

  describe('a look', () => {
    const CUBE = 'looks/night.cube';
    const bt709 = clipFacts({ width: 1920, height: 1080 });
    const lookOf = (planned: Plan) => planned.jobs[0]?.outputs[0]?.recipe.rendering?.look;
    const through = (clip: object, look: unknown) =>
      plan(manifest([{ ...LOG_CLIP, ...clip, look } as never]), ['proxy-h264']);

    it.each([
      ['that states nothing: on camera log in code values', {}, CUBE, 'instead', 'full', 'narrow'],
      [
        'that takes the log of the clip',
        {},
        { file: CUBE, input: 'S-Log3/S-Gamut3.Cine' },
        'instead',
        'full',
        'narrow',
      ],
      ['that takes what the target is', {}, { file: CUBE, input: 'Rec.709' }, 'after', 'narrow', 'narrow'],
      [
        'that takes what clip and target are',
        { colour: undefined, facts: bt709 },
        { file: CUBE, input: 'Rec.709' },
        'instead',
        'narrow',
        'narrow',
      ],
      ['in narrow range at both ends', {}, { file: CUBE, scale: 'narrow' }, 'instead', 'narrow', 'narrow'],
      ['in code values coming out', {}, { file: CUBE, scale: { output: 'full' } }, 'instead', 'full', 'full'],
    ])('%s', (_, clip, look, place, input, output) => {
      expect(lookOf(through(clip, look))).toMatchObject({ place, scale: { input, output } });
    });

    it.each([
      ['BT.709', { colour: undefined, facts: bt709 }, 'S-Log3/S-Gamut3.Cine'],
      ['HLG', { colour: { transfer: 'arib-std-b67', primaries: 'bt2020' } }, 'S-Log3/S-Gamut3.Cine'],
      ['the same curve in other primaries', {}, 'S-Log3/S-Gamut3'],
    ])('made for another colour is refused on a clip of %s', (_, clip, input) => {
      const planned = through(clip, { file: CUBE, input });
      expect(planned.jobs).toEqual([]);
      expect(planned.refused[0]?.reason).toContain(`the look ${CUBE} takes ${input}, but the clip is`);
    });

    it('is no matter where a target asks for none', () => {
      const clip = { ...LOG_CLIP, colour: undefined, look: { file: CUBE, input: 'S-Log3/S-Gamut3.Cine' } };
      expect(plan(manifest([clip]), ['intermediate-422-10']).refused).toEqual([]);
    });

    it('says in the plan what it is taken for and how it is scaled, and where several colours share it', () => {
      const clips = [LOG_CLIP, { file: 'phone.mov', facts: bt709, look: CUBE }];
      const planned = plan(manifest(clips), ['proxy-h264']);
      const why = planned.jobs.map(
        ({ outputs }) => outputs[0]?.losses.find(({ what }) => what === 'rendering')?.why,
      );
      expect(why[0]).toContain(
        'declares no input and is assumed to be made for S-Log3/S-Gamut3.Cine (0 to 1 is code values at the input, black to white at the output)',
      );
      expect(why[1]).toContain('assumed to be made for bt709/bt709 (0 to 1 is black to white at the input');
      expect(planned.notes.join()).toContain(
        'is used for clips of several colours, so it is wrong for some: S-Log3/S-Gamut3.Cine (A001C001.mov); bt709/bt709 (phone.mov)',
      );
      expect(plan(manifest([LOG_CLIP]), ['proxy-h264']).notes.join()).not.toContain('several colours');
    });
  });

  it('carries HDR metadata only where the light stays the same', () => {
    const hdr = {
      mastering: {
        red: [0.68, 0.32],
        green: [0.265, 0.69],
        blue: [0.15, 0.06],
        white: [0.3127, 0.329],
        minLuminance: 0.005,
        maxLuminance: 1000,
      },
      lightLevel: { maxCll: 1000, maxFall: 400 },
    } satisfies NonNullable<ReturnType<typeof clipFacts>['video']>['hdr'];
    const facts = clipFacts({
      hdr,
      colour: { primaries: 'bt2020', transfer: 'smpte2084', matrix: 'bt2020nc', range: 'narrow' },
    });
    const planned = plan(manifest([{ file: 'pq.mov', facts }]), ['archive-ffv1', 'proxy-h264']);
    const [archive, proxy] = planned.jobs[0]?.outputs ?? [];
    expect(archive?.recipe.hdr).toEqual(hdr);
    expect(proxy?.recipe.hdr).toEqual({ mastering: null, lightLevel: null });
  });

  it('turns a picture that is tagged as turned, and swaps its sides', () => {
    const planned = plan(manifest([{ file: 'tall.mov', facts: clipFacts({ rotation: -90 }) }]), [
      'intermediate-422-10',
    ]);
    const recipe = planned.jobs[0]?.outputs[0]?.recipe;
    expect(recipe?.rotation).toBe(270);
    expect([recipe?.raster.width, recipe?.raster.height]).toEqual([1080, 1920]);
  });

  it('refuses sound that this ffmpeg takes for something else: the output would hold noise', () => {
    const facts = clipFacts();
    const [sound] = facts.audio;
    if (sound === undefined) throw new Error('no sound');
    const misread = { ...facts, audio: [{ ...sound, misread: 'its boxes say 24 bits a sample' }] };
    const planned = plan(manifest([{ file: 'a.mp4', facts: misread }]), ['archive-ffv1']);
    expect(planned.jobs).toEqual([]);
    expect(planned.refused[0]?.reason).toContain(
      '(stream 1) would be decoded as noise: its boxes say 24 bits',
    );
  });

  it('has the original judged by the scan that the manifest gives, not by what the file declares', () => {
    const facts = clipFacts({ scan: 'progressive' });
    const scanOf = (clip: object) =>
      plan(manifest([{ file: 'a.mov', facts, ...clip }]), ['hd-sdr-master']).jobs[0]?.clip.facts.video?.scan;
    expect(scanOf({})).toBe('progressive');
    expect(scanOf({ scan: 'interlaced-tff' })).toBe('interlaced-tff');
  });

  it('plans frames of uneven duration at the rate that loses none', () => {
    const facts = clipFacts({
      ...{
        frameRate: '25/1',
        constantRate: false,
        steady: { rate: '50/1', round: 'up', frames: 200, hold: 1 },
      },
    });
    const planned = plan(manifest([{ file: 'a.mov', facts }]), ['archive-ffv1']);
    expect(planned.jobs[0]?.outputs[0]?.recipe.frameRate).toBe('50/1');
  });

  it('refuses a picture that is tagged as mirrored: it would come out the wrong way round', () => {
    const planned = plan(manifest([{ file: 'mirror.mov', facts: clipFacts({ mirrored: true }) }]), [
      'intermediate-422-10',
    ]);
    expect(planned.refused[0]?.reason).toContain('mirrored');
  });

  it('refuses what an encoder cannot do whatever its formats, before anything is decoded', () => {
    const narrow = {
      file: 'odd.mov',
      facts: clipFacts({ width: 1918, pixelFormat: 'gbrp12le', bitDepth: 12, chroma: '4:4:4' }),
    };
    const cineform = plan(manifest([narrow]), ['intermediate-444-12-cineform']);
    expect(cineform.refused[0]?.reason).toContain('multiple of 16');
    const noFont = plan(manifest([narrow]), ['proxy-h264'], {
      capabilities: { ...CAPABILITIES, fontFile: null },
    });
    expect(noFont.refused[0]?.reason).toContain('no font');
  });

  it('merges fields where they cannot be kept, and only there', () => {
    const facts = clipFacts({ scan: 'interlaced-tff' });
    const planned = plan(manifest([{ file: 'fields.mov', facts }]), [
      'intermediate-422-10',
      'review-hevc-10',
      'proxy-h264',
    ]);
    expect(
      planned.jobs[0]?.outputs.map(({ recipe }) => [recipe.video.encoder, recipe.scan, recipe.deinterlace]),
    ).toEqual([
      ['prores_ks', 'interlaced-tff', false],
      ['libx265', 'progressive', true],
      ['libx264', 'progressive', true],
    ]);
  });

  it.each([
    ['states it', { scan: 'interlaced-bff' as const }, undefined],
    ['states it for all', {}, { scan: 'interlaced-bff' as const }],
  ])('reads the scan as the manifest %s, whatever the file says', (_, clip, defaults) => {
    const facts = clipFacts({ scan: null }, { notes: ['scan: the container says one thing'] });
    const planned = plan(manifest([{ file: 'a.mov', facts, ...clip }], defaults), ['proxy-h264']);
    const { sourceScan, scan, deinterlace } = planned.jobs[0]?.outputs[0]?.recipe ?? {};
    expect({ sourceScan, scan, deinterlace }).toEqual({
      sourceScan: 'interlaced-bff',
      scan: 'progressive',
      deinterlace: true,
    });
    expect(planned.notes.join()).not.toContain('scan:');
  });

  it('says so when a clip does not tell its scan', () => {
    const planned = plan(manifest([{ file: 'a.mov', facts: clipFacts({ scan: null }) }]), ['proxy-h264']);
    expect(planned.notes.join('\n')).toContain('does not declare whether it is interlaced');
    const facts = clipFacts({ scan: null }, { notes: ['scan: the container says one thing'] });
    expect(plan(manifest([{ file: 'b.mov', facts }]), ['proxy-h264']).notes.join()).toContain(
      'the container says one thing; assumed progressive; if that is wrong, set it in the manifest (scan:)',
    );
  });

  it('names another job by everything that changes its output, and by nothing else', () => {
    const base = plan(manifest([LOG_CLIP]), ['proxy-h264']).jobs[0];
    const again = (clip: object, version = '1') =>
      plan(manifest([{ ...LOG_CLIP, ...clip }]), ['proxy-h264'], { version }).jobs[0];
    const key = (job: typeof base) => job?.outputs[0]?.key;
    expect(key(again({}))).toBe(key(base));
    expect(key(again({ targets: ['something-else'] }))).toBe(key(base));
    expect(key(again({ exposure: 1 }))).not.toBe(key(base));
    expect(key(again({ facts: clipFacts({ width: 3840, height: 2160 }, { bytes: 2 }) }))).not.toBe(key(base));
    expect(key(again({}, '2'))).not.toBe(key(base));
  });

  it('judges again without making again when only a limit changes', () => {
    const base = BUILT_IN.get('proxy-h264');
    if (base === undefined) throw new Error('proxy-h264 is built in');
    const loose: Target = {
      ...base,
      require: { ...base.require, 'true-peak': { max: 0, severity: 'warn' } },
    };
    const before = plan(manifest([LOG_CLIP]), ['proxy-h264']).jobs[0];
    const after = plan(manifest([LOG_CLIP]), ['proxy-h264'], { targets: new Map([['proxy-h264', loose]]) })
      .jobs[0];
    expect(after?.outputs[0]?.key).toBe(before?.outputs[0]?.key);
    expect(after?.id).not.toBe(before?.id);
  });

  it('turns a full range that a pair cannot state into the narrow one, by name; keeps it where it is read back', () => {
    const colour = { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'full' } as const;
    const facts = clipFacts({ colour, chroma: '4:4:4', pixelFormat: 'yuv444p12le', bitDepth: 12 });
    const planned = plan(manifest([{ file: 'full.mov', facts }]), ['intermediate-444-12', 'archive-ffv1']);
    expect(
      planned.jobs[0]?.outputs.map(({ recipe, losses }) => [
        recipe.container,
        recipe.colour.range,
        losses.find(({ what }) => what === 'range')?.why ?? null,
      ]),
    ).toEqual([
      ['mov', 'narrow', expect.stringContaining('the only range that ffv1 in mov can declare')],
      ['mkv', 'full', null],
    ]);
  });

  it.each([
    // The formula of a camera is of codes: RGB made of either range keeps them, Y'CbCr of one range cannot.
    ['full', 'intermediate-444-12-cineform', 'full', false],
    ['narrow', 'intermediate-444-12-cineform', 'narrow', false],
    ['narrow', 'intermediate-422-10', 'narrow', false],
    ['full', 'intermediate-422-10', 'narrow', true],
  ] as const)('camera log of %s range by %s: %s, named as other light: %s', (range, target, made, isLost) => {
    const colour = { primaries: 'S-Gamut3.Cine', transfer: 'S-Log3', matrix: 'bt709', range } as const;
    const facts = clipFacts({ chroma: '4:2:2', pixelFormat: 'yuv422p10le', bitDepth: 10 });
    const [output] = plan(manifest([{ file: 'log.mov', facts, colour }]), [target]).jobs[0]?.outputs ?? [];
    expect(output?.recipe.colour.range).toBe(made);
    expect(output?.losses.some(({ what }) => what === 'log-codes')).toBe(isLost);
  });

  it("keeps the narrow range of R'G'B' where it is read back, and names it where it is not", () => {
    const colour = { primaries: 'bt709', transfer: 'bt709', matrix: 'gbr', range: 'narrow' } as const;
    const facts = clipFacts({ colour, chroma: '4:4:4', pixelFormat: 'gbrp12le', bitDepth: 12 });
    const planned = plan(manifest([{ file: 'rgb.mov', facts }]), [
      'archive-ffv1',
      'intermediate-444-12-cineform',
    ]);
    expect(
      planned.jobs[0]?.outputs.map(({ recipe, losses }) => [
        recipe.colour.range,
        losses.some(({ what }) => what === 'range'),
      ]),
    ).toEqual([
      ['narrow', false],
      ['full', true],
    ]);
  });

  it('names an odd edge that is repeated, and keeps it where the codec holds it', () => {
    const facts = clipFacts({ width: 1919, height: 1079 });
    const lossless = target.parse({
      schema: 'goodgate/target@1',
      name: 'lossless-h264',
      title: 'Lossless',
      make: { container: 'mp4', video: { codec: 'h264', bitDepth: 10, chroma: 'source', lossless: true } },
    });
    const planned = plan(manifest([{ file: 'odd.mov', facts }]), ['archive-ffv1', 'lossless-h264'], {
      targets: new Map([...BUILT_IN, ['lossless-h264', lossless]]),
    });
    expect(
      planned.jobs[0]?.outputs.map(({ recipe, losses }) => [
        `${recipe.raster.width}x${recipe.raster.height} ${recipe.raster.fit}`,
        losses.find(({ what }) => what === 'raster')?.why ?? null,
      ]),
    ).toEqual([
      ['1919x1079 exact', null],
      ['1920x1079 repeat', expect.stringContaining('the last column is repeated')],
    ]);
  });

  it('names what a file cannot say: an aspect off whole pixels, a timecode without a label', () => {
    const facts = clipFacts({ width: 720, height: 576, sampleAspect: '59/54', frameRate: '25/2' });
    const planned = plan(manifest([{ file: 'sd.mov', facts }]), ['archive-ffv1', 'intermediate-422-10']);
    const named = planned.jobs[0]?.outputs.map(({ losses }) => losses.map(({ what }) => what));
    // 720 x 59/54 = 786.67 columns shown.
    expect(named).toEqual([['sample-aspect', 'timecode'], expect.not.arrayContaining(['sample-aspect'])]);
    expect(named?.[1]).toContain('timecode');
  });

  it('merges fields of an order that the codec does not give back', () => {
    const facts = clipFacts({ scan: 'interlaced-bff' });
    const h264 = target.parse({
      schema: 'goodgate/target@1',
      name: 'fields',
      title: 'Fields',
      make: { container: 'mp4', video: { codec: 'h264', bitDepth: 10, chroma: 'source' } },
    });
    const targets = new Map([...BUILT_IN, ['fields', h264]] as const);
    const planned = plan(manifest([{ file: 'b.mov', facts }]), ['fields', 'intermediate-422-10'], {
      targets,
    });
    expect(planned.jobs[0]?.outputs.map(({ recipe }) => recipe.scan)).toEqual([
      'progressive',
      'interlaced-bff',
    ]);
  });
});
