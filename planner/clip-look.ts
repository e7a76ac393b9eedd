import type { Colour } from '../jobs/manifest/colour.js';
import { parseColour, type WrittenColour } from '../jobs/manifest/colour-words.js';
import { lookFile, type WrittenLook } from '../jobs/manifest/manifest.js';
import type { PlannedJob, RenderingRecipe } from '../jobs/plan/plan.js';
import { firstOf } from '../jobs/words/numbers.js';
import { type LookUse, usualPlace, usualScale } from '../signal/rendering/look.js';

type RecipeLook = NonNullable<RenderingRecipe['look']>;

/** Look of a clip, found on disk. */
export interface ClipLook {
  /** Absolute path. */
  readonly path: string;
  readonly written: WrittenLook;
  /** Why it cannot be used; null: it can. It costs only the outputs that want it. */
  readonly fault: string | null;
}

type PlacedLook =
  | { readonly ok: true; readonly look: RecipeLook }
  | { readonly ok: false; readonly reason: string; readonly next: string };

/**
 * How a look is used between two colours. One whose input is declared is applied to a clip of that colour
 * directly, or to a target of that colour after the rendering. Elsewhere the picture would be wrong, so it is
 * refused.
 */
export function placeLook({ path, written, fault }: ClipLook, from: Colour, to: Colour): PlacedLook {
  if (fault !== null) {
    return {
      ok: false,
      reason: `the look "${lookFile(written)}" cannot be used: ${fault}`,
      next: 'mend the look, or its path, which is relative to the manifest; outputs without a look are made',
    };
  }
  const stated = typeof written === 'string' ? { file: written } : written;
  const input = stated.input === undefined ? null : parseColour(stated.input);
  const place = input === null ? usualPlace(from) : statedPlace(input, from, to);
  if (place === null) {
    return {
      ok: false,
      reason: `the look ${lookFile(written)} takes ${nameOf(input ?? from)}, but the clip is ${nameOf(from)} and the target ${nameOf(to)}`,
      next: 'give the clip a look of its own, or correct its colour or the input of the look in the manifest',
    };
  }
  const scale =
    typeof stated.scale === 'string' ? { input: stated.scale, output: stated.scale } : stated.scale;
  return {
    ok: true,
    look: {
      file: path,
      stated: input !== null,
      place,
      scale: {
        input: scale?.input ?? usualScale(place === 'instead' ? from : to),
        output: scale?.output ?? usualScale(to),
      },
    },
  };
}

function statedPlace(input: WrittenColour, from: Colour, to: Colour): LookUse['place'] | null {
  if (isSame(input, from)) return 'instead';
  return isSame(input, to) ? 'after' : null;
}

function isSame(
  a: Pick<Colour, 'transfer' | 'primaries'>,
  b: Pick<Colour, 'transfer' | 'primaries'>,
): boolean {
  return a.transfer === b.transfer && a.primaries === b.primaries;
}

function nameOf({ transfer, primaries }: Pick<Colour, 'transfer' | 'primaries'>): string {
  return `${transfer}/${primaries}`;
}

const SCALE_WORDS = { full: 'code values', narrow: 'black to white' } as const;

/** How a look is used, for plan and report. */
export function lookInWords({ from, to, look }: RenderingRecipe): string {
  if (look === null) return '';
  const input = nameOf(look.place === 'instead' ? from : to);
  const made = look.stated
    ? `made for ${input}`
    : `which declares no input and is assumed to be made for ${input}`;
  return ` through the look, ${made} (0 to 1 is ${SCALE_WORDS[look.scale.input]} at the input, ${SCALE_WORDS[look.scale.output]} at the output)`;
}

/**
 * Notes for looks without declared input that are used for clips of several colours: they can be right for
 * one curve with its primaries only.
 */
export function looksOfSeveralColours(jobs: readonly PlannedJob[]): string[] {
  const colours = new Map<string, Map<string, Set<string>>>();
  for (const { clip, outputs } of jobs) {
    for (const { recipe } of outputs) {
      const { rendering } = recipe;
      if (rendering === null || rendering.look === null || rendering.look.stated) continue;
      const of = colours.get(rendering.look.file) ?? new Map<string, Set<string>>();
      colours.set(rendering.look.file, of);
      const name = nameOf(rendering.from);
      of.set(name, (of.get(name) ?? new Set()).add(clip.name));
    }
  }
  return [...colours].flatMap(([file, of]) => {
    if (of.size < 2) return [];
    const uses = [...of].map(([colour, clips]) => `${colour} (${firstOf([...clips], 3)})`);
    return [
      `the look ${file} declares no input and is used for clips of several colours, so it is wrong for some: ${uses.join('; ')}; set its input in the manifest (look: { file, input })`,
    ];
  });
}
