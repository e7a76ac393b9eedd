import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { execa } from 'execa';
import type { Colour } from '../../../jobs/manifest/colour.js';
import type { PictureComparison } from '../../../jobs/measurement/measured-comparison.js';
import { type ComparedFile, comparePictures } from '../../../workers/compare/compare-pictures.js';
import { type ComparedFrames, compareFrames } from '../../../workers/compare/pairs/compare-frames.js';
import { isComparable } from '../../../workers/compare/sampling/reference-recipe.js';
import { isKnown, sampleLayout } from '../../../workers/measure/picture/plan/sample-layout.js';
import { probeClip } from '../../../workers/probe/probe-clip.js';

const HD: Colour = { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'narrow' };
export const [WIDTH, HEIGHT] = [192, 108];
export const FRAMES = 12;
/** Frames that are compared: with one beside them on either side, and at both ends. */
const COMPARED = [0, 4, 7, FRAMES - 1];

/**
 * Moving gradients and shapes under grain: detail, colour and motion everywhere, levels from black to white.
 */
export function pictureOf(width: number, height: number): string {
  return [
    `testsrc2=s=${width}x${height}:r=25[a]`,
    `gradients=s=${width}x${height}:r=25:c0=0x203080:c1=0xe0c050:c2=0x30a060:n=3:speed=0.06:seed=7[b]`,
    '[a][b]blend=all_expr=0.5*A+0.5*B,noise=alls=6:all_seed=3:allf=t',
  ].join(';');
}
export const PICTURE = pictureOf(WIDTH, HEIGHT);

/** A copy: made from the original through filters and coded with options. */
export interface CopyMade {
  readonly name: string;
  readonly filters: string;
  readonly options?: readonly string[];
}

/** Originals and copies in one folder. */
export class Pairs {
  private constructor(
    readonly folder: string,
    private readonly size: { readonly width: number; readonly height: number },
  ) {}

  static async begin(width = WIDTH, height = HEIGHT): Promise<Pairs> {
    return new Pairs(await mkdtemp(join(tmpdir(), 'goodgate-compare-')), { width, height });
  }

  end(): Promise<void> {
    return rm(this.folder, { recursive: true, force: true });
  }

  path(name: string): string {
    return join(this.folder, name);
  }

  /** Draws an original in a pixel format, without loss. */
  async draw(name: string, pixelFormat: string, picture = PICTURE, ...more: string[]): Promise<string> {
    await this.ffmpeg(
      ...['-f', 'lavfi', '-i', picture, '-frames:v', String(FRAMES), '-pix_fmt', pixelFormat],
      ...['-colorspace', 'bt709', '-color_range', 'tv', '-c:v', 'ffv1', ...more, this.path(name)],
    );
    return this.path(name);
  }

  /** One ffmpeg makes all copies. */
  async copy(from: string, copies: readonly CopyMade[]): Promise<void> {
    await this.ffmpeg(
      ...['-i', from],
      ...copies.flatMap(({ name, filters, options = ['-c:v', 'ffv1'] }) => [
        ...['-map', '0:v', '-vf', filters, '-fps_mode', 'passthrough', '-frames:v', String(FRAMES)],
        ...[...options, this.path(name)],
      ]),
    );
  }

  /** All frames of files as raw planes of one format, by one ffmpeg. */
  async raw(names: readonly { readonly name: string; readonly pixelFormat: string }[]): Promise<void> {
    await this.ffmpeg(
      ...names.flatMap(({ name }) => ['-i', this.path(name)]),
      ...names.flatMap(({ name, pixelFormat }, index) => [
        ...['-map', `${index}:v`, '-fps_mode', 'passthrough', '-pix_fmt', pixelFormat],
        ...['-f', 'rawvideo', this.path(`${name}.raw`)],
      ]),
    );
  }

  /** Compares raw frames of a copy with those of its original, in this thread. */
  compareRaw(
    original: string,
    copy: string,
    pixelFormat: string,
    originalFormat = pixelFormat,
  ): ComparedFrames {
    const from = sampleLayout(originalFormat);
    if (!isKnown(from)) throw new Error(from.unknown);
    const layout = sampleLayout(pixelFormat);
    if (!isKnown(layout)) throw new Error(layout.unknown);
    const range = layout.model === 'rgb' ? ('full' as const) : ('narrow' as const);
    const form = { layout, ...this.size, range };
    const frames = Array.from({ length: FRAMES }, (_, frame) => frame);
    const all = (name: string, own = form) => ({ form: own, file: this.path(`${name}.raw`), frames });
    return compareFrames({
      original: all(original, { ...form, layout: from }),
      copy: all(copy),
      frames: COMPARED,
      depth: from.depth,
    });
  }

  /** Compares two files as the program does. */
  async compare(original: string, copy: string): Promise<PictureComparison> {
    const found = await comparePictures(await fileOf(original), await fileOf(copy), {});
    if (!isComparable(found)) throw new Error(found.why);
    return found;
  }

  private async ffmpeg(...args: string[]): Promise<void> {
    await execa('ffmpeg', ['-hide_banner', '-nostdin', '-y', '-loglevel', 'error', ...args], {
      stdin: 'ignore',
    });
  }
}

/** A file as its headers and its tags tell of it; untagged ones are HD. */
export async function fileOf(path: string): Promise<ComparedFile> {
  const facts = await probeClip(path);
  const rgb = facts.video?.pixelFormat.startsWith('gbr') === true;
  const range = facts.video?.colour.range ?? (rgb ? 'full' : 'narrow');
  const colour: Colour = { ...HD, matrix: rgb ? 'gbr' : 'bt709', range };
  return { path, facts, colour, frames: facts.video?.frames ?? 0 };
}
