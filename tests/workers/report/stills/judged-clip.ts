import { writeFile } from 'node:fs/promises';
import { execa } from 'execa';
import type { VideoFacts } from '../../../../jobs/manifest/facts.js';
import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import type { RequirementSet } from '../../../../jobs/requirements/requirement.js';
import type { Verdict } from '../../../../jobs/verdict/verdict.js';
import type { Vector3 } from '../../../../signal/matrix3.js';
import { judge } from '../../../../workers/judge/judge.js';
import { measureFile } from '../../../../workers/measure/measure-file.js';
import { probeClip } from '../../../../workers/probe/probe-clip.js';
import { fileStills } from '../../../../workers/report/stills/file-stills.js';
import { type Still, stillKey } from '../../../../workers/report/stills/still.js';

/** What the log was told, for tests that want to know why there is no still. */
export interface Heard {
  readonly fields: object;
  readonly message: string;
}

/** A clip that was measured and judged: what a report starts from. */
export interface JudgedClip {
  readonly path: string;
  readonly video: VideoFacts | null;
  readonly measurement: Measurement;
  readonly verdict: Verdict;
}

export async function judgeClip(path: string, require: RequirementSet): Promise<JudgedClip> {
  const facts = await probeClip(path);
  const measurement = await measureFile(path, { facts });
  const verdict = judge(measurement, { name: 'test', require }, {});
  return { path, video: facts.video, measurement, verdict };
}

/** Draws the stills of a judged clip, which may lie elsewhere by now. */
export async function stillsOf(
  { path, video, measurement, verdict }: JudgedClip,
  options: { readonly signal?: AbortSignal } = {},
): Promise<{ of: (requirement: string) => readonly Still[]; heard: Heard[] }> {
  const heard: Heard[] = [];
  const stills = await fileStills(
    {
      path,
      measurement,
      verdicts: [verdict],
      picture: async () => (video === null ? null : { video, colour: null }),
    },
    { log: { debug: (fields, message) => heard.push({ fields, message }) }, ...options },
  );
  return {
    of: (requirement) => stills.get(stillKey(verdict.file, verdict.target, requirement)) ?? [],
    heard,
  };
}

/** A still as codes again, decoded by ffmpeg. */
export interface SeenPicture {
  readonly width: number;
  readonly height: number;
  at(x: number, y: number): Vector3;
}

export async function seePicture(still: Still | undefined, file: string): Promise<SeenPicture> {
  const match = /^data:image\/jpeg;base64,([A-Za-z0-9+/=]+)$/.exec(still?.dataUri ?? '');
  if (!match) throw new Error('there is no JPEG data URI');
  await writeFile(file, Buffer.from(match[1] ?? '', 'base64'));
  const probed = await execa('ffprobe', [
    ...['-v', 'error', '-show_entries', 'stream=width,height', '-of', 'csv=p=0', file],
  ]);
  const [width = 0, height = 0] = probed.stdout.trim().split(',').map(Number);
  const { stdout } = await execa(
    'ffmpeg',
    ['-v', 'error', '-i', file, '-f', 'rawvideo', '-pix_fmt', 'rgb24', '-sws_flags', 'accurate_rnd', '-'],
    { encoding: 'buffer' },
  );
  const channel = (at: number): number => stdout[at] ?? Number.NaN;
  return {
    width,
    height,
    at: (x, y) => {
      const at = (y * width + x) * 3;
      return [channel(at), channel(at + 1), channel(at + 2)];
    },
  };
}

/** Mean colour of a rectangle; right and bottom are not in it. */
export function meanOf(
  picture: SeenPicture,
  [left, top, right, bottom]: readonly [number, number, number, number],
): Vector3 {
  const sum: [number, number, number] = [0, 0, 0];
  for (let y = top; y < bottom; y++) {
    for (let x = left; x < right; x++) {
      const [r, g, b] = picture.at(x, y);
      sum[0] += r;
      sum[1] += g;
      sum[2] += b;
    }
  }
  const pixels = (right - left) * (bottom - top);
  return [sum[0] / pixels, sum[1] / pixels, sum[2] / pixels];
}
