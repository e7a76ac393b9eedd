import type { ColourTags } from '../../../jobs/manifest/colour.js';
import { type ProbedColour, probedFile, SHOW_CONTAINER } from '../ffprobe-output.js';
import { type ProbeOptions, runFfprobe } from '../run-ffprobe.js';

const SILENT = new Set(['unknown', 'unspecified', 'reserved']);
const RANGES: Readonly<Record<string, ColourTags['range']>> = { tv: 'narrow', pc: 'full' };

/** The four tags, from ffprobe's names. */
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
 * What the container alone declares. Null when it declares nothing.
 */
export async function containerColour(
  path: string,
  stream: number,
  options: ProbeOptions,
): Promise<ColourTags | null> {
  const { streams } = await runFfprobe(path, SHOW_CONTAINER, probedFile, options);
  const found = streams.find((candidate) => candidate.index === stream);
  return found === undefined ? null : orNull(tagsOf(found));
}

/** Null for a layer that declares nothing. */
export function orNull(tags: ColourTags): ColourTags | null {
  return Object.values(tags).every((tag) => tag === null) ? null : tags;
}

/**
 * Tag by tag: from the bitstream (which decoders follow), otherwise from the container, otherwise what
 * ffprobe reports.
 */
export function joinLayers(
  bitstream: ColourTags | null,
  container: ColourTags | null,
  reported: ColourTags,
): ColourTags {
  return {
    primaries: bitstream?.primaries ?? container?.primaries ?? reported.primaries,
    transfer: bitstream?.transfer ?? container?.transfer ?? reported.transfer,
    matrix: bitstream?.matrix ?? container?.matrix ?? reported.matrix,
    range: bitstream?.range ?? container?.range ?? reported.range,
  };
}

/**
 * Pictures that are decoded to R'G'B' have the matrix `gbr`, whatever a layer declares; the note says what
 * was declared.
 */
export function asDecoded(
  colour: ColourTags,
  isRgb: boolean,
): { readonly colour: ColourTags; readonly note: string | null } {
  const { matrix } = colour;
  if (!isRgb || matrix === null || matrix === 'gbr') return { colour, note: null };
  const note = `colour matrix: ${matrix} is declared, but the frames are R'G'B', which is used`;
  return { colour: { ...colour, matrix: 'gbr' }, note };
}

/** The tags that both layers declare differently, in words. */
export function contradictions(bitstream: ColourTags | null, container: ColourTags | null): string[] {
  if (bitstream === null || container === null) return [];
  return (['primaries', 'transfer', 'matrix', 'range'] as const).flatMap((tag) => {
    const [inside, outside] = [bitstream[tag], container[tag]];
    if (inside === null || outside === null || inside === outside) return [];
    return [`colour ${tag}: the container declares ${outside}, the bitstream ${inside}, which is used`];
  });
}
