import ignore from 'ignore';
import type { Manifest, ManifestClip, ManifestRule, RuleMatch } from '../jobs/manifest/manifest.js';
import type { SkippedClip } from '../jobs/plan/plan.js';

/** Clips with what the rules of the manifest set, and what decided. */
export interface Ruled {
  /** Without those that are skipped. */
  readonly clips: readonly ManifestClip[];
  /** Clips of which nothing is made, and what says so. */
  readonly skipped: readonly SkippedClip[];
  /** For the plan: which rule set what of which clip, and which set nothing. */
  readonly notes: readonly string[];
}

/**
 * Applies the rules of a manifest. Of several that match, each key is that of the last one; what a clip sets
 * itself goes before all rules, and all rules before `defaults`. Pure.
 */
export function applyRules({ clips, rules = [] }: Pick<Manifest, 'clips' | 'rules'>): Ruled {
  const matchers = rules.map(({ match }) => matcherOf(match));
  const matched = rules.map(() => 0);
  const skipped: SkippedClip[] = [];
  const notes: string[] = [];
  const kept: ManifestClip[] = [];
  for (const clip of clips) {
    const by = new Map<string, number>();
    let settings: ManifestRule['set'] = {};
    for (const [index, { set }] of rules.entries()) {
      if (matchers[index]?.(clip) !== true) continue;
      matched[index] = (matched[index] ?? 0) + 1;
      settings = { ...settings, ...set, ...colourOf(settings, set) };
      for (const key of Object.keys(set)) by.set(key, index);
    }
    const { skip = false, ...ruled } = { ...settings, ...clip, ...colourOf(settings, clip) };
    if (skip) {
      const who = clip.skip === true ? 'the manifest (skip: true)' : ruleName(rules, by.get('skip') ?? 0);
      skipped.push({ clip: clip.file, by: who });
      continue;
    }
    kept.push(ruled);
    notes.push(...decided(clip, by, rules));
  }
  for (const [index, times] of matched.entries()) {
    if (times === 0) notes.push(`${ruleName(rules, index)} matches no clip`);
  }
  return { clips: kept, skipped, notes };
}

/** Each rule as people call it, with the clips that it matches, by their path. Pure. */
export function clipsByRule({
  clips,
  rules = [],
}: Pick<Manifest, 'clips' | 'rules'>): { readonly rule: string; readonly files: readonly string[] }[] {
  return rules.map(({ match }, index) => ({
    rule: ruleName(rules, index),
    files: clips.filter(matcherOf(match)).map(({ file }) => file),
  }));
}

/** Colours are put together key by key: one rule may set the curve, another the range. */
function colourOf(
  before: ManifestRule['set'],
  after: Pick<ManifestRule['set'], 'colour'>,
): Pick<ManifestRule['set'], 'colour'> {
  return before.colour === undefined || after.colour === undefined
    ? {}
    : { colour: { ...before.colour, ...after.colour } };
}

/** `C001.mov: look, targets by rule 2 (file B002/**)`, for each rule that decided something. */
function decided(
  clip: ManifestClip,
  by: ReadonlyMap<string, number>,
  rules: readonly ManifestRule[],
): string[] {
  const own = new Set<string>(Object.keys(clip));
  return [...new Set(by.values())].flatMap((index) => {
    const keys = [...by]
      .filter(([key, at]) => at === index && key !== 'skip' && (key === 'colour' || !own.has(key)))
      .map(([key]) => key);
    return keys.length === 0 ? [] : [`${clip.file}: ${keys.join(', ')} by ${ruleName(rules, index)}`];
  });
}

function ruleName(rules: readonly ManifestRule[], index: number): string {
  const match = Object.entries(rules[index]?.match ?? {}).map(
    ([key, value]) => `${key} ${[value].flat().join(' or ')}`,
  );
  return `rule ${index + 1} (${match.join(', ')})`;
}

/** All that a match names must hold. A fact that is not known holds for nothing. */
function matcherOf(match: RuleMatch): (clip: ManifestClip) => boolean {
  const patterns = match.file === undefined ? null : ignore({ ignorecase: true }).add([match.file].flat());
  return ({ file, facts }) => {
    if (patterns !== null && !patterns.ignores(file)) return false;
    const video = facts?.video ?? null;
    const known = {
      codec: video?.codec,
      transfer: video?.colour.transfer,
      primaries: video?.colour.primaries,
      frameRate: video?.frameRate,
      bitDepth: video?.bitDepth,
      width: video?.width,
      height: video?.height,
    };
    return FACTS.every((key) => {
      const wanted = match[key];
      return wanted === undefined || [wanted].flat().some((value) => value === known[key]);
    });
  };
}

const FACTS = ['codec', 'transfer', 'primaries', 'frameRate', 'bitDepth', 'width', 'height'] as const;
