import type { ColourTags } from '../../../jobs/manifest/colour.js';
import { type ProbedColour, probedFile } from '../ffprobe-output.js';
import { type ProbeOptions, runFfprobe } from '../run-ffprobe.js';

const SILENT = new Set(['unknown', 'unspecified', 'reserved']);
const RANGES: Readonly<Record<string, ColourTags['range']>> = { tv: 'narrow', pc: 'full' };

/** The four tags as ffprobe words them. */
export function tagsOf(probed: ProbedColour): ColourTags {
  const name = (value: string | undefined) => (value === undefined || SILENT.has(value) ? null : value);
  return {
    primaries: name(probed.color_primaries),
    transfer: name(probed.color_transfer),
    matrix: name(probed.color_space),
    range: RANGES[probed.color_range ?? ''] ?? null,
  };
}

/**
 * What the container alone says: ffprobe told not to read the streams, so no decoder has overwritten
 * anything. Null when it says nothing.
 */
export async function containerColour(
  path: string,
  stream: number,
  options: ProbeOptions,
): Promise<ColourTags | null> {
  const args = ['-nofind_stream_info', '-show_streams'];
  const { streams } = await runFfprobe(path, args, probedFile, options);
  const found = streams.find((candidate) => candidate.index === stream);
  return found === undefined ? null : orNull(tagsOf(found));
}

/** Null for a layer that says nothing. */
export function orNull(tags: ColourTags): ColourTags | null {
  return Object.values(tags).every((tag) => tag === null) ? null : tags;
}

/**
 * Tag by tag: the bitstream where it speaks (a decoder obeys it), else the container, else what ffprobe
 * concluded.
 */
export function joinLayers(
  bitstream: ColourTags | null,
  container: ColourTags | null,
  concluded: ColourTags,
): ColourTags {
  return {
    primaries: bitstream?.primaries ?? container?.primaries ?? concluded.primaries,
    transfer: bitstream?.transfer ?? container?.transfer ?? concluded.transfer,
    matrix: bitstream?.matrix ?? container?.matrix ?? concluded.matrix,
    range: bitstream?.range ?? container?.range ?? concluded.range,
  };
}

/**
 * Pictures that are decoded to R'G'B' have no other matrix than that, whatever a layer states; the note says
 * what was stated.
 */
export function asDecoded(
  colour: ColourTags,
  isRgb: boolean,
): { readonly colour: ColourTags; readonly note: string | null } {
  const { matrix } = colour;
  if (!isRgb || matrix === null || matrix === 'gbr') return { colour, note: null };
  const note = `colour matrix: ${matrix} is stated, the pictures are R'G'B'; they count`;
  return { colour: { ...colour, matrix: 'gbr' }, note };
}

/** The tags on which both layers speak and differ, in words. */
export function contradictions(bitstream: ColourTags | null, container: ColourTags | null): string[] {
  if (bitstream === null || container === null) return [];
  return (['primaries', 'transfer', 'matrix', 'range'] as const).flatMap((tag) => {
    const [inside, outside] = [bitstream[tag], container[tag]];
    if (inside === null || outside === null || inside === outside) return [];
    return [
      `colour ${tag}: the container says ${outside}, the bitstream says ${inside}; the bitstream counts`,
    ];
  });
}
